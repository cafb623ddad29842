"""Price lists in the form: what moulders charge beside the hour, price breaks, other suppliers; and filled in."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from api.pages import priced
from api.pages.form_fields import BY_NAME
from api.pages.form_made import Made, numbers
from api.pages.form_rows import MOST_ROWS, Filled, rows_of
from api.pages.form_values import text

Thing = Mapping[str, Any]
Row = dict[str, str]
CHARGED = BY_NAME["charges"].numbers


def write(made: Made, filled: Filled) -> None:
    """Charges into their presses, breaks and other suppliers into what is bought."""
    presses = made.document.get("presses", {})
    currency = str(made.document.get("currency", "EUR"))
    for at, row in rows_of(filled, "charges"):
        press = made.meant("presses", row["press"])
        if not press:
            told = f"there is no press {row['press'][:40]!r}" if row["press"] else "say whose price list it is"
            made.problems.append((at + "press", told))
            continue
        if "charges" in presses[press]:
            made.problems.append((at + "press", f"{press} stands here twice; say all that is charged in one row"))
            continue
        here: list[str | int] = ["presses", press, "charges"]
        numbers(made, here, at, row, *CHARGED)
        by_part = made.heard(lambda said: priced.at_prices(said, currency), row["a_piece"], at + "a_piece")
        for part, price in by_part or []:
            made.put([*here, "a_piece", made.names["parts"].meant(part)], price, at + "a_piece")
    for at, row, name in entries_again(made, filled, "pieces"):
        breaks = made.heard(
            lambda said: priced.numbers_at_prices(said, "price", currency), row["price_breaks"], at + "price_breaks"
        )
        for n, (number, price) in enumerate(breaks or []):
            here = ["pieces", name, "price_breaks", n]
            made.put([*here, "pieces"], number, at + "price_breaks")
            made.put([*here, "price"], price, at + "price_breaks")
        for n, (share, days) in enumerate(made.heard(priced.in_parts, row["comes_in"], at + "comes_in") or []):
            made.put(["pieces", name, "comes_in", n, "share"], share, at + "comes_in")
            made.put(["pieces", name, "comes_in", n, "after_days"], days, at + "comes_in")
    for section in ("resins", "colours"):
        for at, row, name in entries_again(made, filled, section):
            breaks = made.heard(
                lambda said: priced.numbers_at_prices(said, "kg", currency), row["price_breaks"], at + "price_breaks"
            )
            for n, (kg, price) in enumerate(breaks or []):
                made.put([section, name, "price_breaks", n, "kg"], kg, at + "price_breaks")
                made.put([section, name, "price_breaks", n, "price_per_kg"], price, at + "price_breaks")
    number_of = Counter[str]()
    for at, row in rows_of(filled, "suppliers"):
        piece = made.meant("pieces", row["piece"])
        if not piece:
            told = f"there is no piece {row['piece'][:40]!r}" if row["piece"] else "say which piece it sells"
            made.problems.append((at + "piece", told))
            continue
        here = ["pieces", piece, "also_from", number_of[piece]]
        number_of[piece] += 1
        made.put([*here, "supplier"], row["supplier"], at + "supplier")
        numbers(made, here, at, row, "pieces", "lead_days", "price")


def entries_again(made: Made, filled: Filled, section: str) -> list[tuple[str, dict[str, str], str]]:
    """Rows of a section that are in the document already, by their names there."""
    known = made.names[section]
    return [(at, row, known.meant(row["id"])) for at, row in rows_of(filled, section) if row["id"]]


def charges_in(document: Thing) -> list[Row]:
    """Price lists as they would be typed."""
    return [
        {"press": name, "a_piece": priced.said_prices((press["charges"].get("a_piece") or {}).items(), text)}
        | {known: text(press["charges"].get(known)) for known in CHARGED}
        for name, press in (document.get("presses") or {}).items()
        if press.get("charges") is not None
    ][:MOST_ROWS]


def suppliers_in(document: Thing) -> list[Row]:
    """Orders at other suppliers as they would be typed."""
    return [
        {"piece": name} | {known: text(other.get(known)) for known in ("supplier", "pieces", "lead_days", "price")}
        for name, piece in (document.get("pieces") or {}).items()
        for other in piece.get("also_from") or []
    ][:MOST_ROWS]


def weight_breaks_in(bought: Thing) -> str:
    """Price breaks of a resin or a masterbatch as they would be typed."""
    breaks: Sequence[Thing] = bought.get("price_breaks") or []
    return priced.said_prices(((one.get("kg"), one.get("price_per_kg")) for one in breaks), text)


def breaks_in(piece: Thing) -> str:
    """A piece's price breaks as they would be typed."""
    breaks: Sequence[Thing] = piece.get("price_breaks") or []
    return priced.said_prices(((one.get("pieces"), one.get("price")) for one in breaks), text)
