"""Payments by weeks, Monday to Sunday (ISO 8601: a week begins on Monday), by a calendar looked at by hand."""

from datetime import date

from api.exports.weekly import weekly
from planner.plan.document import CashDue


def due(day: str, amount: float) -> CashDue:
    return CashDue.model_construct(on=date.fromisoformat(day), amount=amount)


def test_a_week_ends_on_sunday():
    """3 January 2027 is a Sunday. Weeks without payments are left out; what was paid before is carried on."""
    lines = [due("2027-01-18", 5.0), due("2027-01-04", 1.5), due("2027-01-03", 2.0), due("2027-01-10", 4.0)]
    found = weekly(lines)
    assert [(week.first.isoformat(), week.amount, week.so_far) for week in found] == [
        ("2026-12-28", 2.0, 2.0),
        ("2027-01-04", 5.5, 7.5),
        ("2027-01-18", 5.0, 12.5),
    ]
    assert found[1].lines == [lines[1], lines[3]]
    assert weekly([]) == []
