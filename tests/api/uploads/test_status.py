"""Whether a row is an order at all: the status column, refunds spoken of elsewhere, one reference in several rows."""

from dataclasses import replace

import pytest

from api.uploads.mapping import MappingProblem
from api.uploads.status import never_counts, proposed, speaks_of_refund
from tests.api.uploads.order_table import MAPPING, as_csv, read, refs

HEADINGS = ("Order", "Tier", "Colour 1", "Country", "Stands at", "Remarks", "Refunded on")
STATUS = replace(MAPPING, colours=("Colour 1",), date=None, add_ons={}, status="Stands at", counts=("Paid",))


def table(*rows: tuple[str, ...]) -> bytes:
    """Rows under the headings, shorter ones filled up."""
    return as_csv([[*row, *[""] * (len(HEADINGS) - len(row))] for row in rows], headings=HEADINGS).encode()


def test_only_what_counts_is_taken() -> None:
    """A value that nobody spoke of is set aside and told, as is one that never counts, in any spelling."""
    rows = [("A1", "single", "clay", "DE", said) for said in ("paid", "PAID ", "Refunded", "held", "", "Sent")]
    rows = [(f"A{n}", *row[1:]) for n, row in enumerate(rows)]
    got = read(table(*rows), replace(STATUS, not_counted=("sent",)))
    assert refs(got) == ["A0", "A1"]
    assert [aside.field for aside in got.set_aside] == ["status"] * 4
    assert "no order any more" in got.set_aside[0].reason
    assert "nobody has said whether 'held' counts" in got.set_aside[1].reason
    assert "as you said" in got.set_aside[3].reason
    assert got.statuses == {"paid": 1, "PAID": 1, "Refunded": 1, "held": 1, "": 1, "Sent": 1}


def test_nothing_makes_a_refund_count() -> None:
    """Neither said to count, nor said both ways, nor without a column."""
    rows = table(("A1", "single", "clay", "DE", "refunded"))
    for said in ({"counts": ("Refunded",)}, {"counts": ("paid",), "not_counted": ("Paid",)}, {"status": None}):
        with pytest.raises(MappingProblem):
            read(rows, replace(STATUS, **said))  # type: ignore[arg-type]


@pytest.mark.parametrize("status", ["Stands at", None])
def test_a_refund_spoken_of_anywhere_holds_the_row(status: str | None) -> None:
    """In a remark, under a heading of refunds, in the tier; the maker may say that a column says nothing of it."""
    mapping = replace(STATUS, status=status, counts=("paid",) if status else ())
    rows = table(
        ("A1", "single", "clay", "DE", "paid", "please cancel"),
        ("A2", "single", "clay", "DE", "paid", "", "2027-05-01"),
        ("A3", "single (refunded)", "clay", "DE", "paid"),
        ("A4", "single", "clay", "DE", "paid", "cancelled the phone call", "0.00"),
    )
    assert refs(read(rows, mapping)) == []
    assert refs(read(rows, replace(mapping, ignored=("Remarks",)))) == ["A1", "A4"]


def test_a_row_that_does_not_count_holds_back_its_reference() -> None:
    """Before or after it, in another spelling, whatever else is wrong with it."""
    got = read(
        table(
            ("A1", "single", "clay", "DE", "paid"),
            ("A2", "no tier", "", "", "refunded"),
            (" a1", "single", "clay", "DE", "refunded"),
            ("A2", "single", "clay", "DE", "paid"),
            ("A3", "single", "", "DE", "paid"),
        ),
        STATUS,
    )
    assert refs(got) == ["A3"]
    assert got.missing_choices == 1
    assert "row 4 has the same reference" in got.set_aside[0].reason
    assert [aside.row for aside in got.set_aside] == [2, 3, 4, 5]


def test_what_is_proposed() -> None:
    """Plain words only; all else is for the maker to say."""
    assert proposed(["Paid", "refunded", "hold"]) == {"Paid": "counts", "refunded": "never", "hold": ""}
    assert never_counts("CANCELED!")
    assert not never_counts("refund refused")


@pytest.mark.parametrize(
    "said", ["Rückbuchung", "zurückgezahlt", "Gekündigt", "ZURÜCKGEBUCHT", "erstattet", "Storniert", "widerrufen"]
)
def test_german_words_of_refund_and_cancellation_never_count(said: str) -> None:
    """As a status, and spoken of in a remark; words near them do."""
    assert never_counts(said)
    assert speaks_of_refund(f"am 3. Mai {said}, siehe Mail")
    assert not speaks_of_refund("Kündigungsfrist egal, Rückseite bedruckt, zurück an Absender schreiben")
