"""The update for supporters: from the promise alone, and never a date the simulation does not support."""

import re
from datetime import date

import pytest

from planner.promise.document import AtTheDoor, Dates, Promise, RegionPromise, TierPromise
from planner.promise.supporters import Reasons
from planner.promise.update import Before, make_update
from planner.promise.update_text import html, markdown


def promised(given=None, p50=None, **days):
    """given: the promised day of every tier. p50: by which half are done; None: the day to announce."""
    tiers = [
        TierPromise(
            tier=tier, parcels=10, promised=given, chance=None, announce=day, drivers=[],
            dates=Dates(planned=date(2027, 2, 1), p50=p50 or day, p80=day, p95=None),
        )
        for tier, day in days.items()
    ]  # fmt: skip
    return Promise(
        replications=2000, seed=1, policy="as planned", confidence=0.9, basis="as given", not_done=0.0, on_time=None,
        tiers=tiers, groups=[], base_rate=[],
    )  # fmt: skip


def feb(day):
    return date(2027, 2, day)


def dates_in(text):
    return set(re.findall(r"\d{1,2} \w+ 2027", text))


def test_dates_are_those_to_announce_and_no_others():
    update = make_update("Planter", promised(single=feb(12), pair=None), date(2027, 1, 20), Before({"single": 3}))
    text = markdown(update)
    assert "| single | 3 | 10 | 12 February 2027 | first date |" in text
    assert "no date yet" in text
    assert "90%" in text
    assert update.broken == []
    assert dates_in(text) == {"12 February 2027", "20 January 2027"}
    assert dates_in(html(update)) == dates_in(text)


def test_what_changed_since_the_last_one():
    first = make_update("x", promised(single=feb(12), pair=feb(5)), date(2027, 1, 20), Before())
    told = Before({"pair": 4}, first, ["shell: starts 3 days later"])
    second = make_update("x", promised(single=feb(19)), date(2027, 1, 27), told)
    text = markdown(second)
    assert "7 days later than announced (12 February 2027)" in text
    assert "- Pair: every parcel is packed" in text
    assert "- Shell: starts 3 days later" in text


def test_a_tier_that_nobody_packed_and_that_is_gone_is_not_called_packed():
    first = make_update("x", promised(single=feb(12), pair=feb(5)), date(2027, 1, 20), Before())
    second = make_update("x", promised(single=feb(12)), date(2027, 1, 27), Before({}, first))
    assert second.changes == ["pair: nothing is left to send"]


def test_a_broken_promise_is_said_before_anything_else_with_its_reason():
    """Measured against the promised day, worst first, before the dates; what is kept is not in the list."""
    promise = promised(feb(12), single=feb(19), pair=feb(26), trio=feb(12))
    because = Reasons(unsure={"pair": "the delivery of cork may come late"})
    update = make_update("x", promise, date(2027, 1, 20), Before(), because)
    assert [one.tier for one in update.broken] == ["pair", "single"]
    text = markdown(update)
    assert text.index("pair will be late: promised by 12 February 2027") < text.index("Where things stand")
    assert "now 26 February 2027, 14 days later. The delivery of cork may come late." in text
    assert "trio will be late" not in text
    assert html(update).index("pair will be late") < html(update).index("<table>")


def test_a_day_that_half_of_all_cases_still_keep_may_be_late():
    update = make_update("x", promised(feb(12), p50=feb(11), single=feb(19)), date(2027, 1, 20), Before())
    [late] = update.broken
    assert not late.sure
    assert "single may be late" in markdown(update)


def test_later_than_announced_is_broken_even_where_nothing_was_promised():
    first = make_update("x", promised(single=feb(12)), date(2027, 1, 20), Before())
    update = make_update("x", promised(single=feb(15)), date(2027, 1, 27), Before({}, first))
    assert (
        "single will be late: announced for 12 February 2027; the day we can stand by is now 15 February"
        in markdown(update)
    )


def test_what_was_told_already_is_said_as_still_so_and_after_the_news():
    """Promised 12, announced 19 and still 19: late, no news. The one whose date moved again stands before it."""
    first = make_update("x", promised(feb(12), single=feb(19), pair=feb(19)), date(2027, 1, 20), Before())
    update = make_update("x", promised(feb(12), single=feb(19), pair=feb(22)), date(2027, 1, 27), Before({}, first))
    assert [(one.tier, one.new) for one in update.broken] == [("pair", True), ("single", False)]
    text = markdown(update)
    assert "promised by 12 February 2027, last announced for 19 February 2027" in text
    assert "single is still late: promised by 12 February 2027; now by 19 February 2027, as announced." in text


def test_a_day_that_cannot_be_named_any_more_breaks_what_was_given():
    first = make_update("x", promised(single=feb(12)), date(2027, 1, 20), Before())
    update = make_update("x", promised(single=None), date(2027, 1, 27), Before({}, first))
    assert "single has no date any more: announced for 12 February 2027; we cannot name a day yet." in markdown(update)


def test_a_promise_is_not_moved_by_changing_the_campaign_after_it_was_told():
    """The day that the first kept update had stays what later ones are measured against."""
    first = make_update("x", promised(feb(12), single=feb(10)), date(2027, 1, 20), Before())
    update = make_update("x", promised(feb(28), single=feb(25)), date(2027, 1, 27), Before({}, first))
    assert update.tiers[0].promised == feb(12)
    assert update.broken[0].promised == feb(12)


def test_the_makers_own_text_is_sent_as_typed():
    update = make_update("x", promised(single=feb(12)), date(2027, 1, 20), Before())
    mine = update.model_copy(update={"text": "Hello *all*\n\n<b>Soon</b>"})
    assert markdown(mine) == "Hello *all*\n\n<b>Soon</b>"
    assert "<b>" not in html(mine)


def test_names_cannot_break_out_of_the_page():
    promise = promised(feb(1), **{"a|b": feb(12)})
    update = make_update("<script>|x", promise, date(2027, 1, 20), Before({}, None, ["<b>"]))
    assert "<script>" not in html(update)
    assert "<b>" not in html(update)
    assert "a\\|b will be late" in markdown(update)
    assert "\\<script\\>" in markdown(update)


@pytest.mark.parametrize(
    ("to", "day", "sure"), [("hand-over", feb(14), False), ("door", feb(24), True)], ids=["hand-over", "door"]
)
def test_a_region_is_measured_by_what_is_promised_of_it(to, day, sure):
    """By the hand-over half of all cases keep the 12th, at the door none does; each region has its own day."""
    dates = Dates(planned=feb(10), p50=feb(11), p80=feb(13), p95=feb(14))
    door = AtTheDoor(p50=feb(21), p80=feb(23), p95=feb(24), announce=feb(24))
    regions = [
        RegionPromise(
            region=name, parcels=5, promised=given, chance=None, door=door, dates=dates, announce=feb(14),
            least_loss=None,
        )
        for name, given in (("here", feb(12)), ("there", feb(28)))
    ]  # fmt: skip
    promise = promised(single=feb(14))
    tier = promise.tiers[0].model_copy(update={"promised_to": to, "regions": regions})
    update = make_update("x", promise.model_copy(update={"tiers": [tier]}), date(2027, 1, 20), Before())
    assert [(one.region, one.promised, one.day) for one in update.tiers[0].regions] == [
        ("here", feb(12), day),
        ("there", feb(28), day),
    ]
    assert [(one.region, one.promised_to, one.day, one.sure) for one in update.broken] == [("here", to, day, sure)]


def test_supporters_read_of_the_world_where_no_region_names_their_country():
    """`world` is what the document calls the countries that nobody named."""
    dates = Dates(planned=feb(10), p50=feb(11), p80=feb(13), p95=feb(14))
    regions = [
        RegionPromise(
            region=name, parcels=5, promised=feb(12), chance=None, door=None, dates=dates, announce=feb(14),
            least_loss=None,
        )
        for name in ("islands", "world")
    ]  # fmt: skip
    promise = promised(single=feb(14))
    early = regions[0].model_copy(update={"promised": feb(1)})
    tier = promise.tiers[0].model_copy(update={"regions": [*regions, early]})
    update = make_update("x", promise.model_copy(update={"tiers": [tier]}), date(2027, 1, 20), Before())
    for text in (markdown(update), html(update)):
        assert "single to islands" in text
        assert "single to the world" in text
        assert "to world" not in text
