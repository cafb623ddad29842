"""Figures, hours and days as people type them; what could mean two things is asked about.

Pound and ounce: international avoirdupois, 0.45359237 kg and 28.349523125 g. Tonne of force: 9.80665 m/s2 (both from
memory).
"""

import pytest

from api.languages.reading import Reader, begin
from api.pages.form_document import make
from api.pages.form_rows import empty
from api.pages.measures import clock, day, figure, moment, said_moment, spans


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("95 g", "parts.0.mass_g", 95), ("95", "parts.0.mass_g", 95), ("0.095kg", "parts.0.mass_g", 95),
        ("1 lb", "parts.0.mass_g", 453.59237), ("8 oz", "parts.0.mass2_g", 226.796185),
        ("0,8", "presses.0.holdup_kg", 0.8),
        ("1.234,5", "resins.0.stock_kg", 1234.5), ("1,234.5 kg", "resins.0.stock_kg", 1234.5),
        ("12,34,567.5", "resins.0.stock_kg", 1234567.5), ("1.200.000", "orders.0.count", 1200000),
        ("£55", "presses.0.rate_per_hour", 55), ("55 GBP", "presses.0.rate_per_hour", 55),
        ("1,200", "orders.0.count", 1200), ("1'200", "orders.0.count", 1200), ("1 200 pcs", "orders.0.count", 1200),
        ("1,600 kN", "presses.0.clamp_kn", 1600), ("100 t", "presses.0.clamp_kn", 980.665),
        ("44s", "tools.0.cycle_s", 44),
        ("1.5 min", "tools.0.cycle_s", 90), ("2 %", "tools.0.scrap_share", 0.02), ("90%", "presses.0.efficiency", 0.9),
        ("2 %", "colours.0.let_down_percent", 2), ("2 weeks", "pieces.0.lead_days", 14), ("-3", "x.0.y", -3),
    ],
)  # fmt: skip
def test_figures(text: str, field: str, value: float) -> None:
    """In the field's own unit."""
    assert figure(text, field, "GBP") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["2,5,1", "1.2.3", "1,2,300.5", "1,200,30", "1.200,300.5"])
def test_groups_are_of_three(text: str) -> None:
    """Or as in India; else marks between digits say nothing for certain, and the field is asked about."""
    with pytest.raises(ValueError, match="write its digits together"):
        figure(text, "orders.0.count", "GBP")


@pytest.mark.parametrize(
    ("text", "currency"),
    [
        ("$55", "USD"), ("$55", "HKD"), ("CA$55", "CAD"), ("¥55", "JPY"), ("￥55", "CNY"), ("55 kr", "SEK"),
        ("55 kr.", "DKK"), ("55 zł", "PLN"), ("€55", "EUR"), ("₹55", "INR"), ("CHF 55", "CHF"),
    ],
)  # fmt: skip
def test_signs_of_a_currency(text: str, currency: str) -> None:
    """As it is written where it is from and in English; never another's."""
    assert figure(text, "presses.0.rate_per_hour", currency) == 55
    with pytest.raises(ValueError, match="counts in GBP"):
        figure(text, "presses.0.rate_per_hour", "GBP")


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("$55", "presses.0.rate_per_hour"), ("1,200", "resins.0.stock_kg"), ("95 stone", "parts.0.mass_g"),
        ("much", "presses.0.clamp_kn"), ("5 kg", "tools.0.cycle_s"), ("", "x.0.y"), ("1 2 x", "x.0.y"),
        ("inf", "x.0.y"),
        ("5 tons", "presses.0.clamp_kn"),
    ],
)  # fmt: skip
def test_what_is_unclear_is_asked(text: str, field: str) -> None:
    """Another currency, a comma that may be either mark, a unit of something else."""
    with pytest.raises(ValueError, match=r"no number|may be|counts in"):
        figure(text, field, "GBP")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("8am-4.30pm", "08:00-16:30"), ("06:00-22:00", "06:00-22:00"), ("8-16", "08:00-16:00"), ("22-6", "22:00-06:00"),
        ("9 to 5pm", "09:00-17:00"), ("08:00–12:00, 1pm-5pm x2", "08:00-12:00, 13:00-17:00 x2"),
        ("12am-12pm", "00:00-12:00"),
        ("closed", "closed"),
    ],
)  # fmt: skip
def test_hours(text: str, said: str) -> None:
    """In the way a document says them."""
    assert spans(text) == said


def test_nine_to_five_is_asked_about() -> None:
    """It could end at night."""
    with pytest.raises(ValueError, match="afternoon or in the night"):
        spans("9-5")
    assert (clock("4pm"), clock("16:00"), clock("noon")) == ("16:00", "16:00", "noon")
    assert (clock("8 Uhr"), clock("16.30 Uhr"), clock("16h"), clock("8")) == ("08:00", "16:30", "16:00", "8")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2027-02-26", "2027-02-26"), ("26 Feb 2027", "2027-02-26"), ("Feb 26th, 2027", "2027-02-26"),
        ("26.2.2027", "2027-02-26"), ("2/26/2027", "2027-02-26"), ("3/3/2027", "2027-03-03"), ("soon", "soon"),
    ],
)  # fmt: skip
def test_days(text: str, said: str) -> None:
    """Where only one day can be meant."""
    assert day(text) == said


@pytest.mark.parametrize("text", ["3/4/2027", "30 Feb 2027"])
def test_days_that_are_none_or_two(text: str) -> None:
    """Asked about."""
    with pytest.raises(ValueError, match=r"may be|no day"):
        day(text)


@pytest.mark.parametrize(
    "text",
    [
        "2027-01-11T06:00", "2027-01-11 06:00", "11 Jan 2027 06:00", "11 January 2027, 6am", "Jan 11, 2027 6:00",
        "11.01.2027 06:00", "11.1.2027 um 6:00 Uhr", "11. Jan. 2027 06:00", "11 Jan 2027 at 6 am",
    ],
)  # fmt: skip
def test_moments(text: str) -> None:
    """A day and a time in one field."""
    assert moment(text) == "2027-01-11T06:00"


@pytest.mark.parametrize("text", ["soon", "2027-01-11", "2027-01-11T06:00:00+01:00", "", "6:00"])
def test_moments_that_are_none_are_left(text: str) -> None:
    """Whoever reads the document says what is wrong."""
    assert moment(text) == text


@pytest.mark.parametrize("locale", ["", "en_GB", "en_US", "de", "fr", "ja", "ar", "pl", "es"])
def test_the_start_is_said_as_its_reader_writes_it(locale: str) -> None:
    """Whatever it looks like, it is read again; in each month."""
    begin(Reader("de" if locale == "de" else "en", locale))
    try:
        for month in range(1, 13):
            text = f"2027-{month:02}-11T06:00"
            assert moment(said_moment(text)) == moment(said_moment(text + ":00"))[:16] == text
        said = said_moment("2027-03-11T06:00:00")
        assert locale not in ("", "en_GB", "en_US", "de") or "T" not in said
        assert said_moment("2027-03-11T06:00:30") == "2027-03-11T06:00:30"
        assert said_moment("soon") == "soon"
    finally:
        begin(Reader())


def test_in_the_form() -> None:
    """What was typed becomes figures; what is unclear stands at its field."""
    from datetime import date

    filled = empty(date(2027, 1, 1))
    filled.head |= {"currency": "GBP"}
    filled.rows["presses"][0] |= {"id": "Big", "clamp_kn": "100 t", "rate_per_hour": "£55", "hours": "Mon-Fri 8am-4pm"}
    filled.rows["tiers"][0] |= {"id": "One", "promised": "3/4/2027"}
    made = make(filled)
    assert made.document["presses"]["Big"]["rate_per_hour"] == 55
    assert made.document["presses"]["Big"]["hours"] == {"mon-fri": "08:00-16:00"}
    assert ("tiers.0.promised", "'3/4/2027' may be day-month or month-day; write it like 26 Feb 2027") in made.problems
