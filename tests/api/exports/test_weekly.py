"""Payments by weeks, Monday to Sunday (ISO 8601: a week begins on Monday), by a calendar looked at by hand."""

from datetime import date

from api.exports.weekly import payments, weekly
from planner.plan.document import CashDue


def due(day: str, amount: float, what: str = "balance", of: str = "pp") -> CashDue:
    return CashDue.model_validate({"on": date.fromisoformat(day), "what": what, "of": of, "amount": amount})


def test_a_week_ends_on_sunday():
    """3 January 2027 is a Sunday. Weeks without payments are left out; what was paid before is carried on."""
    lines = [due("2027-01-18", 5.0), due("2027-01-04", 1.5), due("2027-01-03", 2.0), due("2027-01-10", 4.0)]
    found = weekly(lines)
    assert [(week.first.isoformat(), week.amount, week.so_far) for week in found] == [
        ("2026-12-28", 2.0, 2.0),
        ("2027-01-04", 5.5, 7.5),
        ("2027-01-18", 5.0, 12.5),
    ]
    assert [line.amount for line in found[1].lines] == [1.5, 4.0]
    assert weekly([]) == []


def test_what_is_paid_whole_is_no_balance():
    """A balance is the rest after a deposit; without one it is a payment. Deliveries agreed on keep their name."""
    cash = [due("2027-01-04", 5.0, "deposit", "felt"), due("2027-02-04", 5.0, "balance", "felt")]
    cash += [
        due("2027-01-05", 9.0),
        due("2027-01-06", 2.0, "agreed delivery"),
        due("2027-01-07", 1.0, "work", "setting"),
    ]
    assert [line.what for line in payments(cash)] == ["deposit", "balance", "payment", "agreed delivery", "work"]
