"""What was changed, in the form's words and in the reader's language; names and values as they were typed."""

import html

import pytest

from api.languages import reading
from api.languages.reading import Reader
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.form_help import HELP
from api.pages.form_words import between, labelled, place, told


@pytest.fixture
def in_german():
    reading.begin(Reader("de", "de"))
    yield
    reading.begin(reading.NOBODY)


def test_fields_are_called_as_the_form_calls_them():
    assert told("changed: tools, lid, cycle_s: 45, now 38") == "changed: Tools, lid, Cycle, s: 45, now 38"
    assert told("changed: pieces, oak box, price: 1: 2, now 3; and 3 more") == (
        "changed: Bought-in pieces, oak box, Price each: 1: 2, now 3; and 3 more"
    )
    assert told("changed: name: Pots, now Pans") == "changed: Name of the campaign: Pots, now Pans"
    assert told("changed: planning, seconds: 3, now 9") == "changed: planning, seconds to plan in: 3, now 9"
    aimed = told("another plan: planning, aim: nothing, now waste; planning, kg_per_day: nothing, now 4.5")
    assert aimed == (
        "another plan: planning, aim: nothing, now least purge waste; "
        "planning, kg that a day sooner may cost: nothing, now 4.5"
    )


def test_what_somebody_else_changed_is_told_without_pointers_and_without_the_order_of_work():
    before = {"tools": {"lid (4 cups)": {"cycle_s": 45}}, "planning": {"seconds": 3}}
    after = {"tools": {"lid (4 cups)": {"cycle_s": 40}}, "planning": {"seconds": 3, "begin_from": {"presses": {}}}}
    assert between(before, after) == ["Tools, lid (4 cups), Cycle, s: 45, now 40"]
    assert between(before, before) == []
    assert place("/tools/lid~1cap/cycle_s") == "Tools, lid/cap, Cycle, s"


def test_a_problem_names_fields_as_the_form_does():
    told_ = labelled("give `lead_days` if more can be bought, or add it to `arrivals`", "resins.0.lead_days")
    assert told_ == "give “Days from order to door” if more can be bought, or add it to “On its way, kg”"
    assert labelled("`lead_days`", "name") == "`lead_days`"


def test_who_reads_german_reads_what_was_done_in_german(in_german):
    assert told("changed: tools, lid, cycle_s: 45, now nothing; other orders") == (
        "geändert: Werkzeuge, lid, Zyklus, s: 45, jetzt nichts; andere Bestellungen"
    )
    assert told("planned") == "geplant"
    assert told("planned again as it was") == "neu geplant, wie es war"
    assert told("sent an update: pair: Tue 2 Feb 2027") == "Nachricht gesendet: pair: Di., 2. Feb. 2027"
    assert told("shared by a link to read: Anna, for 30 days") == (
        "über einen Link zum Lesen geteilt: Anna, für 30 Tage"
    )


def test_help_stands_beside_fields_that_are_asked_for(app):
    """Every field has its help, which the page says beside it; the field names it as its description."""
    asked = {(s.name, ask.name) for s in SECTIONS for ask in s.asks} | {("head", ask.name) for ask in HEAD}
    assert set(HELP) == asked
    page = html.unescape(app.client.get("/start/form?example=starter").text)
    for (section, name), words in HELP.items():
        field = name if section == "head" else f"{section}.0.{name}"
        if f'id="{field}"' in page:
            assert f'id="{field}-help">{words}<' in page, field
            assert f'aria-describedby="{field}-help"' in page, field
