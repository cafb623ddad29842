"""Values as they would be typed."""

import pytest

from api.pages.form_values import text, week


@pytest.mark.parametrize(
    ("value", "typed"),
    [(None, ""), (True, "yes"), (False, "no"), (3.0, "3"), (0, "0"), (0.0, "0"), (2.5, "2.5"), (1, "1"), ("x", "x")],
)
def test_a_value_as_it_would_be_typed(value, typed):
    """Nought is a value; none is not. No point behind a whole number."""
    assert text(value) == typed


def test_hours_of_a_week():
    assert week({"mon-fri": "06:00-22:00", "sat": "06:00-14:00"}) == "mon-fri 06:00-22:00; sat 06:00-14:00"
    assert week(None) == week([]) == ""
