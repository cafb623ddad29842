"""Which days and presses a picture is asked for."""

from datetime import date

from api.plans.pictures import window_asked


def test_what_is_asked_is_what_is_shown():
    asked = window_asked(date(2027, 1, 11), 5, ["big", "small"], 800)
    assert (asked.first, asked.days, asked.presses, asked.width) == (date(2027, 1, 11), 5, ("big", "small"), 800.0)


def test_nothing_asked_is_all():
    asked = window_asked()
    assert (asked.first, asked.days, asked.presses, asked.width) == (None, None, (), 1200.0)
