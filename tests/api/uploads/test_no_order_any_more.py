"""Orders taken back in ways that no status says: negative lines, letters crossed out, comments, other sheets, remarks
in other languages. None may be planned, also where rows set aside are read again or brought back as a table."""

import io
import pickle
import re
import zipfile

import pytest
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font

from api.exports.csv_lists import csv_bytes
from api.uploads.book import aside_heard, aside_said, read_again
from api.uploads.known import order_key
from api.uploads.mapping import ColumnMapping
from api.uploads.orders import read_orders
from api.uploads.report import OrdersRead, set_aside_sheet
from api.uploads.tables import open_table
from tests.support.messy_orders import KNOWN

HEADINGS = ("Number", "Tier", "Colour", "Pieces", "To", "Scribbles", "Amount")
MAPPING = ColumnMapping(tier="Tier", colours=("Colour",), ref="Number", country="To", count="Pieces")
ONE = ("7001", "solo", "oat", "1", "GB", "", "45.00")
TWO = ("7002", "solo", "kelp", "1", "DE", "", "45.00")


def read(content: bytes, mapping: ColumnMapping = MAPPING) -> OrdersRead:
    """A file read."""
    return read_orders(open_table(io.BytesIO(content)), mapping, KNOWN)


def text(*rows: tuple[str, ...]) -> bytes:
    """A text file of such rows."""
    return b"".join(csv_bytes(HEADINGS, rows))


def refs(got: OrdersRead) -> list[str]:
    """The orders taken."""
    return [line.ref for line in got.lines]


@pytest.mark.parametrize(
    "said",
    ["ＲＥＦＵＮＤＥＤ", "re\u200bfunded", "re\u00adfunded", "zwrócono pieniądze", "återbetald", "refunderet",
     "anulowane", "返金済み", "已退款", "환불 완료", "возврат денег", "ακυρώθηκε", "בוטל", "تم الاسترداد",
     "iade edildi", "peruttu", "Don’t ship", "reimbursed in May", "stornováno", "estornado", "withdrew in June",
     "キャンセル", "Ich möchte mein Geld zurück", "Bitte nicht versenden!", "ne pas envoyer svp", "annulez ma commande",
     "no enviar, gracias", "solicito la devolución del dinero", "rimborso richiesto", "non spedire", "niet verzenden",
     "wil mijn geld terug", "vill ha pengarna tillbaka", "верните деньги", "zrušte prosím objednávku", "peruuttakaa",
     "ønsker refusjon", "אנא בטלו את ההזמנה", "kérem a pénzem vissza", "please return my payment", "pls canel",
     "refnud please"],
)  # fmt: skip
def test_a_remark_in_any_language_holds_its_row(said: str) -> None:
    """And its order in every other row."""
    got = read(text(ONE, TWO, (*TWO[:5], said, "")))
    assert refs(got) == ["7001"]


@pytest.mark.parametrize(
    "said",
    [
        "ring twice",
        "Grüße aus Göteborg",
        "в подарок",
        "贈り物です",
        "Mr Backhaus, Sumatra road",
        "total fan",
        "returning in May",
        "geldrop",
        "non fa niente",
        "ne pas plier",
        "niet vouwen",
        "nicht knicken",
        "annual gift",
    ],
)
def test_a_harmless_remark_holds_nothing(said: str) -> None:
    """In any script."""
    assert refs(read(text((*ONE[:5], said, "45")))) == ["7001"]


@pytest.mark.parametrize("pieces", ["-1", "−1", "(1)", "– 1"])
def test_a_line_that_takes_an_order_back_holds_it_back(pieces: str) -> None:
    """Also where it takes only part of it back: nobody knows what is still wanted."""
    got = read(text((*ONE[:3], "3", *ONE[4:]), TWO, (*ONE[:3], pieces, *ONE[4:])))
    assert refs(got) == ["7002"]
    assert "takes an order back" in got.set_aside[1].reason


@pytest.mark.parametrize("amount", ["-45.00", "−£45", "(45,00 €)", "-45,00 EUR", "€ -45"])
def test_an_amount_below_nothing_is_a_refund(amount: str) -> None:
    """Under any heading of money; not under one of discounts."""
    content = text(ONE, TWO, (*ONE[:6], amount))
    assert refs(read(content)) == ["7002"]
    assert refs(read(content.replace(b"Amount", b"Amount of discount"))) == ["7001", "7002"]


@pytest.mark.parametrize(
    "number",
    ["BF1001", "#bf1001", "BF-01001", "No. BF-1001", "Order #BF-1001", "BF - 1001", "BF-1001.", "BF/1001", "BF.1001",
     "Nr BF-1001", "Pledge BF-1001", "№ BF_1001", "BF\u20111001", "order no. bf 1001"],
)  # fmt: skip
def test_an_order_number_with_letters_is_one_order_however_it_is_written(number: str) -> None:
    """With words, blanks and zeros of whoever typed the refund; not one that has other figures."""
    assert order_key(number) == order_key("BF-1001") != order_key("BF-1001-2")
    first = ("BF-1001", *ONE[1:])
    assert refs(read(text(first, (number, *ONE[1:])))) == ["BF-1001"]
    assert refs(read(text(first, (number, *ONE[1:5], "refunded", "")))) == []


def test_order_numbers_that_differ_stay_apart() -> None:
    """Figures after figures, and letters in front of them, are never run together."""
    numbers = ["1-23", "12-3", "123", "A1-1", "A11", "NO-1001", "SE-1001", "1001", "order", "No."]
    assert len({order_key(number) for number in numbers}) == len(numbers)


@pytest.mark.parametrize("title", ["Erstattungen", "Returns", "Retouren", "Rimborsi", "Cancellations", "Annulations"])
def test_a_sheet_of_refunds_is_known_by_its_name(title: str) -> None:
    """In the plural, in which sheets are named, and in other languages."""
    book = Workbook()
    assert book.active is not None
    for row in (HEADINGS, ONE, TWO):
        book.active.append(row)
    sheet = book.create_sheet(title)
    for line in ([HEADINGS[0]], ["7002"]):
        sheet.append(line)
    out = io.BytesIO()
    book.save(out)
    assert refs(read(out.getvalue())) == ["7001"]


@pytest.mark.parametrize("number", ["#7001", "'7001", "007001", "7001.0", "７００１", "7001\u200e", "\ufeff7001"])
def test_one_order_number_in_two_spellings_is_one_order(number: str) -> None:
    """Sent once, and a refund of it found."""
    assert order_key(number) == "7001"
    assert refs(read(text(ONE, (number, *ONE[1:])))) == ["7001"]
    assert refs(read(text(ONE, (number, *ONE[1:5], "refunded", "")))) == []


@pytest.mark.parametrize(
    "row",
    [
        ("Subtotal", "solo", "oat", "620", "GB"),
        ("", "solo", "oat", "620", "GB"),
        ("", "solo", "oat", "", "GB", "Total solo"),
    ],
)
def test_sums_are_no_orders(row: tuple[str, ...]) -> None:
    """Wherever they say what they are, and where nothing says it but the missing number."""
    got = read(text(ONE, (*row, *[""] * (7 - len(row)))))
    assert refs(got) == ["7001"]


def workbook(change: str) -> bytes:
    """Two orders on a sheet, the second no order any more by what is not in its cells."""
    book = Workbook()
    sheet = book.active
    for row in (HEADINGS, ONE, TWO):
        sheet.append(row)
    if change == "crossed out":
        sheet["C3"].font = Font(strike=True)
    elif change == "comment":
        sheet["A3"].comment = Comment("refunded on 3 May", "me")
    elif change == "sheet":
        other = book.create_sheet("Refunds")
        for row in (("When", "Number", "Amount"), ("3 May", 7002, 7001)):
            other.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize("change", ["crossed out", "comment", "sheet"])
def test_a_workbook_says_it_beside_the_cells(change: str) -> None:
    """The maker may say that such marks mean nothing."""
    got = read(workbook(change))
    assert refs(got) == ["7001"]
    [aside] = got.set_aside
    ignoring = ColumnMapping(**{**vars(MAPPING), "ignored": (aside.refund_in,)})
    assert refs(read(workbook(change), ignoring)) == ["7001", "7002"]
    assert refs(read(workbook(""))) == ["7001", "7002"]


def test_rows_set_aside_stay_so_when_others_are_put_right() -> None:
    """Their remark is not kept, so nothing but the maker's word makes them orders; what they hold back stays too."""
    got = read(text(ONE, TWO, (*TWO[:5], "please refund", ""), ("7003", "solo", "oaat", "1", "GB", "", "")))
    kept = [aside_heard(*aside_said(one)) for one in got.set_aside]
    assert [one.row for one in kept] == [3, 4, 5]
    mended = {2: ("7003", "solo", "oat", "1", "GB")}
    again = read_again(got.columns, got.lines, kept, mended, MAPPING, KNOWN)
    assert [line.ref for line in again.lines] == ["7001", "7003"]
    assert [one.row for one in again.set_aside] == [3, 4]
    all_the_same = read_again(got.columns, again.lines, again.set_aside, {}, MAPPING, KNOWN, {0})
    assert [line.ref for line in all_the_same.lines] == ["7001", "7003", "7002"]


def test_rows_given_back_as_a_table_stay_aside_until_they_are_cleared() -> None:
    """The table holds the reason instead of the remark."""
    got = read(text(ONE, (*TWO[:5], "please refund", "")))
    headings, rows = set_aside_sheet(got.columns, got.set_aside)
    assert refs(read(b"".join(csv_bytes(headings, rows)))) == []
    cleared = [[cell if at != len(got.columns) + 1 else "" for at, cell in enumerate(row)] for row in rows]
    assert refs(read(b"".join(csv_bytes(headings, cleared)))) == ["7002"]


@pytest.mark.parametrize(
    "cell", ["oat<br>kelp", "oat &amp; kelp", "oat、kelp", "ｏａｔ，kelp", "oat\u2028kelp", "oat；kelp"]
)
def test_marks_of_other_scripts_and_of_web_pages_part_colours(cell: str) -> None:
    """As commas do."""
    [line] = read(text(("7001", "pair", cell, *ONE[3:]))).lines
    assert line.colourways == ("oat", "kelp")


def test_what_holds_a_row_back_comes_along_from_the_process_that_read_it() -> None:
    """An order that an amount below nothing holds back stays aside whenever other rows are put right."""
    read_there = read(text(ONE, TWO, (*ONE[:6], "-45.00")))
    got = pickle.loads(pickle.dumps(read_there))
    assert got == read_there
    assert [aside.held_by for aside in got.set_aside] == [4, None]
    kept = [aside_heard(*aside_said(aside)) for aside in got.set_aside]
    again = read_again(got.columns, got.lines, kept, {}, MAPPING, KNOWN)
    assert (again.taken, [aside.row for aside in again.set_aside]) == (0, [2, 4])


@pytest.mark.parametrize("value", [None, "kelp"])
def test_a_formula_stays_one_until_it_is_put_right(value: str | None) -> None:
    """Kept without a value it read as a colour that nobody chose."""
    book = Workbook()
    assert book.active is not None
    for row in (HEADINGS, ONE, (*TWO[:2], "=B2", *TWO[3:])):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    content = out.getvalue()
    if value:
        content = _with_value(content, value)
    got = read(content)
    kept = [aside_heard(*aside_said(aside)) for aside in got.set_aside]
    again = read_again(got.columns, got.lines, kept, {}, MAPPING, KNOWN)
    assert [aside.reason for aside in again.set_aside] == ["holds a formula"]
    mended = {0: [cell.replace("=", "") or "kelp" if "=" in cell else cell for cell in kept[0].kept]}
    assert [line.colourways for line in read_again(got.columns, got.lines, kept, mended, MAPPING, KNOWN).lines[1:]] == [
        ("kelp",)
    ]


def _with_value(content: bytes, value: str) -> bytes:
    """The workbook with what the formula gave when it was last worked out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name).decode()
            part = re.sub(r'(<c r="C3")[^>]*><f>B2</f><v ?/?>(</v>)?', rf'\1 t="str"><f>B2</f><v>{value}</v>', part)
            new.writestr(name, part)
    return out.getvalue()
