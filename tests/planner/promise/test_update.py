"""The update for supporters: from the promise alone, and never a date the simulation does not support."""

import re
from datetime import date

from planner.promise.document import Dates, Promise, TierPromise
from planner.promise.update import html, make_update, markdown


def promised(**days):
    tiers = [
        TierPromise(
            tier=tier, parcels=10, promised=None, chance=None, announce=day, drivers=[],
            dates=Dates(planned=date(2027, 2, 1), p50=day, p80=day, p95=None),
        )
        for tier, day in days.items()
    ]  # fmt: skip
    return Promise(
        floors=2000, seed=1, policy="as planned", confidence=0.9, basis="as given", not_done=0.0, on_time=None,
        tiers=tiers, groups=[], base_rate=[],
    )  # fmt: skip


def test_dates_are_those_to_announce_and_no_others():
    update = make_update("Planter", promised(single=date(2027, 2, 12), pair=None), date(2027, 1, 20), {"single": 3})
    text = markdown(update)
    assert "| single | 3 | 10 | 12 February 2027 | first date |" in text
    assert "no date yet" in text
    assert "90%" in text
    named = set(re.findall(r"\d{1,2} \w+ 2027", text))
    assert named == {"12 February 2027", "20 January 2027"}
    assert set(re.findall(r"\d{1,2} \w+ 2027", html(update))) == named


def test_what_changed_since_the_last_one():
    first = make_update("x", promised(single=date(2027, 2, 12), pair=date(2027, 2, 5)), date(2027, 1, 20), {})
    second = make_update(
        "x", promised(single=date(2027, 2, 19)), date(2027, 1, 27), {}, first, ["shell: starts 3 days later"]
    )
    text = markdown(second)
    assert "7 days later than 12 February 2027" in text
    assert "- pair: every parcel is packed" in text
    assert "- shell: starts 3 days later" in text


def test_names_cannot_break_out_of_the_page():
    update = make_update("<script>|x", promised(**{"a|b": date(2027, 2, 12)}), date(2027, 1, 20), {}, None, ["<b>"])
    assert "<script>" not in html(update)
    assert "<b>" not in html(update)
    assert "a\\|b" in markdown(update)
    assert "\\<script\\>" in markdown(update)
