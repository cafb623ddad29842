"""Reading a campaign: whatever comes in, the answer is a campaign or all its problems."""

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from spoiling import REMOVED, problems

from planner.campaign import Campaign
from planner.campaign.pointers import pointer
from planner.errors import CampaignProblems
from planner.reading import read
from tests.support.sampled import examples

DEMO = json.loads((Path(__file__).resolve().parents[3] / "examples" / "herb-planter.json").read_text(encoding="utf-8"))

UNREADABLE = [
    ({"start": REMOVED}, "/start", "`start` is missing"),
    ({"tools shell cycle_s": "fast"}, "/tools/shell/cycle_s", "tool `shell`: `cycle_s` should be a number, not `fast`"),
    ({"tools shell cycle_s": 0}, "/tools/shell/cycle_s", "`cycle_s` is `0` and must be more than 0"),
    ({"tools shell cycel_s": 4}, "/tools/shell/cycel_s", "`cycel_s` is not a field the campaign document knows here"),
    ({"tools shell ready": "2027-13-01"}, "/tools/shell/ready", "is no date or wall-clock moment"),
    ({"tools shell ready": "2027-02-01T06:00+01:00"}, "/tools/shell/ready", "a moment with an offset"),
    ({"tools": []}, "/tools", "`tools` should be a group of named fields, not a list"),
    ({"presses A/b~c\u202e": {}}, "/presses/A~1b~0c\u202e", "holds a mark nobody can see"),
    ({"presses " + "x" * 81: {}}, "/presses/" + "x" * 81, "too long"),
    ({"presses twin barrels": []}, "/presses/twin/barrels", "`barrels` holds too few entries"),
    ({"presses twin hours": {"mon-fry": "06:00-14:00"}}, "/presses/twin/hours", "`mon-fry` is no day"),
    ({"presses twin hours": {"mon": "6-14"}}, "/presses/twin/hours", "`6-14` is no span of hours"),
    ({"presses twin on_dates": {"2027-01-32": ""}}, "/presses/twin/on_dates/2027-01-32", "is no date"),
    ({"presses twin barrels 0 holds": "pp"}, "/presses/twin/barrels/0/holds", "`pp` is no melt"),
    ({"purging given 0 from": REMOVED}, "/purging/given/0/from", "`from` is missing"),
    ({"colours cream hex": "cream"}, "/colours/cream/hex", "`cream` is no sRGB colour"),
    ({"colours cream lab": [50, 0]}, "/colours/cream/lab/2", "entry 3 of `lab` is missing"),
    ({"colours cream finish": "shiny"}, "/colours/cream/finish", "is not one of its choices"),
    ({"orders 1 country": "France"}, "/orders/1/country", "`France` is no country code"),
    ({"orders 1 count": 1.5}, "/orders/1/count", "`count` should be a whole number, not `1.5`"),
    ({"orders 1 tier": None}, "/orders/1/tier", "`tier` should be a text, not nothing"),
    ({"time_zone": "Mars/Base"}, "/time_zone", "`Mars/Base` is no time zone"),
    ({"currency": "euro"}, "/currency", "`euro` is no currency code"),
    ({"confidence": float("nan")}, "/confidence", "`confidence`"),
    ({"document": "campaign/9"}, "/document", "is not one of its choices"),
]


@pytest.mark.parametrize(("changes", "where", "words"), UNREADABLE, ids=[f"{p} {w[:24]}" for _, p, w in UNREADABLE])
def test_a_field_that_cannot_be_read_is_named_once(changes, where, words):
    """One problem per field, with an exact pointer, the maker's words, and a remedy."""
    found = [p for p in problems(changes) if p.pointer == where]
    assert len(found) == 1, problems(changes)
    assert words in found[0].message
    assert found[0].remedy


def test_pointers_escape_tilde_and_slash():
    """RFC 6901, section 3: `~` is written `~0` and `/` is written `~1`; section 5's examples."""
    assert pointer() == ""
    assert [pointer("foo", 0), pointer("a/b"), pointer("m~n"), pointer("")] == ["/foo/0", "/a~1b", "/m~0n", "/"]


@pytest.mark.parametrize("data", [None, 3, "campaign", [], {}, {"name": None}])
def test_what_is_no_campaign_at_all_is_refused(data):
    """The problem points to the whole document or to what is missing in it."""
    with pytest.raises(CampaignProblems) as found:
        read(data)
    assert found.value.problems


def test_the_demo_is_accepted():
    """The demo passes every cross-check."""
    assert isinstance(read(DEMO), Campaign)


def paths(value, trail=()):
    """Every place in a JSON document."""
    yield trail
    if isinstance(value, dict):
        for key, item in value.items():
            yield from paths(item, (*trail, key))
    elif isinstance(value, list):
        for n, item in enumerate(value[:12]):
            yield from paths(item, (*trail, n))


SHORT_DEMO = DEMO | {"orders": DEMO["orders"][:40]}
ODD = [
    None, True, 0, -1, 1, 2, 0.5, 1e9, 1e300, 10**400, float("nan"), float("inf"), "", "x", "sage", "pp/sage", "x/y",
    "twin", "shell", "\ud800", "a" * 300, "9999-12-31", "0001-01-01", "2027-02-29", "2027-03-28T01:30", [], {}, [[]],
    {"": 1}, {"sage": 1}, ["shell", "shell"], "mon-fri", {"mon": "closed"}, {"mon-sun": "00:00-24:00 x999"},
    {"sun": "23:59-00:01"},
]  # fmt: skip


def corrupted(document, spots, draw):
    """A document with values replaced, taken out, doubled under another name or swapped, as `draw` chooses."""
    data = json.loads(json.dumps(document))
    for trail in spots:
        here = data
        try:
            for step in trail[:-1]:
                here = here[step]
            here[trail[-1]]
        except (KeyError, IndexError, TypeError):
            continue  # gone by an earlier change
        if not isinstance(here, dict | list):
            continue
        act = draw(st.sampled_from(["replace", "remove", "rename", "scale", "graft"]))
        if act == "replace":
            here[trail[-1]] = draw(st.sampled_from(ODD))
        elif act == "remove":
            del here[trail[-1]]
        elif act == "rename" and isinstance(here, dict):
            here[draw(st.sampled_from(["", "a/b", "x", "sage", "shell", "twin", "2027-01-11"]))] = here.pop(trail[-1])
        elif act == "scale" and isinstance(here[trail[-1]], int | float) and abs(here[trail[-1]]) < 1e300:
            here[trail[-1]] *= draw(st.sampled_from([0, -1, 1e-6, 1000, 1e6]))
        elif act == "graft":
            other = draw(st.sampled_from(PLACES))
            source = SHORT_DEMO
            for step in other:
                source = source[step]
            here[trail[-1]] = json.loads(json.dumps(source))
    return data


PLACES = [p for p in paths(SHORT_DEMO) if p]


@settings(max_examples=examples(300), deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.sampled_from(PLACES), min_size=1, max_size=5), st.data())
def test_no_corruption_raises_anything_but_problems(spots, data):
    """Random damage to the demo is accepted or answered with problems that point into the document."""
    answer = answered(corrupted(SHORT_DEMO, spots, data.draw))
    assert answer
    for problem in answer if isinstance(answer, list) else []:
        assert problem.message
        assert problem.pointer == "" or problem.pointer.startswith("/")


def answered(document):
    """The campaign, or its problems; anything else that is raised goes through."""
    try:
        return read(document)
    except CampaignProblems as found:
        return found.problems


def test_unreadable_fields_and_unknown_names_come_in_one_answer():
    """A bad cycle, a bad count and, in other places, a misspelt tier and a misspelt colour."""
    found = problems(
        {
            "tools shell cycle_s": 0,
            "orders 0 count": 0,
            "orders 2 tier": "singel",
            "products planter colourways cream cup": ["craem"],
        }
    )
    assert {p.pointer for p in found} == {
        "/tools/shell/cycle_s", "/orders/0/count", "/orders/2/tier", "/products/planter/colourways/cream/cup/0",
    }  # fmt: skip
    assert any("order line 1: `count`" in p.message for p in found)


def test_what_was_cut_out_is_not_reported_as_unknown():
    """A tier that cannot be read is one problem, not one for each of its orders."""
    assert [p.pointer for p in problems({"tiers single pack_minutes": -1})] == ["/tiers/single/pack_minutes"]
    assert [p.pointer for p in problems({"tools bits cycle_s": "x"})] == ["/tools/bits/cycle_s"]
    assert [p.pointer for p in problems({"colours slate hex": 3})] == ["/colours/slate/hex"]
    assert [p.pointer for p in problems({"start": "soon", "regions europe": ["FR", "GB"]})] == [
        "/start", "/regions/europe/1",
    ]  # fmt: skip


def test_a_line_keeps_its_number_when_lines_before_it_cannot_be_read():
    """The third line is the third line."""
    found = problems({"orders 0 count": -1, "orders 1 count": -1, "orders 2 units planter": ["gold"]})
    assert found[-1].pointer == "/orders/2/units/planter/0"
    assert found[-1].message.startswith("order line 3 asks for colourway `gold`")


def test_more_fields_than_anybody_reads_are_counted():
    """Twelve hundred bad lines: a thousand listed, the rest counted."""
    line = {"tier": "single", "units": {"planter": ["cream"]}, "count": 0}
    found = problems({f"orders {3 + n}": line for n in range(1200)})
    assert len(found) == 1001
    assert found[-1].message == "200 more fields cannot be read"
