"""Parts finished between press and assembly, written down: counted as finished, not worked on again."""

import pytest

from examples.situations import campaign_of, plan_of
from planner.actuals.entries import Actuals
from planner.actuals.happened import happened
from planner.actuals.remaining_campaign import from_here
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan

POTS = campaign_of("pad-printing")
SHOTS = {"what": "shots", "at": "2027-01-11T12:00", "press": "big", "tool": "pot", "colours": ["cream"], "shots": 304}
PRINTED = {"what": "finished", "at": "2027-01-12T12:00", "part": "pot", "colours": ["cream"], "parts": 500, "spoilt": 4}


def soon(campaign):
    """To be planned in three rounds."""
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": 3})})


def log(*entries, as_of="2027-01-13T06:00"):
    return Actuals.model_validate({"as_of": as_of, "entries": list(entries)})


def stock(*entries):
    """(colours, number, whether finished) of the pots in hand."""
    left = from_here(POTS, None, log(*entries)).campaign
    return sorted((tuple(one.colours), one.count, one.finished) for one in left.parts["pot"].stock)


def test_finished_parts_move_from_moulded_to_finished():
    """304 shots of two without scrap: 608 moulded; 500 printed, 4 spoilt, 104 left to print."""
    assert stock(SHOTS) == [(("cream",), 608, False)]
    assert stock(SHOTS, PRINTED) == [(("cream",), 104, False), (("cream",), 500, True)]


def test_they_are_not_printed_again():
    """600 cream pots are ordered: 500 are printed, so a bench prints 100 of them, and 400 sage ones."""
    left = from_here(POTS, plan_of("pad-printing"), log(SHOTS, PRINTED))
    plan = make_plan(soon(left.campaign), Unhurried())
    printed = {"cream": 0, "sage": 0}
    for job in plan.finishing:
        for part in job.parts:
            printed[part.colours[0]] += part.good
    assert printed == {"cream": 100, "sage": 400}
    assert plan.audit.holds
    assert not any("moulded: what is done" in note for note in from_here(POTS, None, log()).notes)


def test_what_is_spoilt_is_moulded_again():
    """All 608 go in and 20 are spoilt: 12 short of 600, and one in a hundred of those is spoilt again."""
    left = from_here(POTS, None, log(SHOTS, PRINTED | {"parts": 588, "spoilt": 20})).campaign
    cream = next(line for line in make_plan(soon(left), Unhurried()).balance if line.colours == ["cream"])
    assert (cream.stock, cream.to_mould) == (588, 12)


def test_parts_packed_since_were_among_the_finished():
    """100 parcels of one pot each."""
    packed = {"what": "packed", "at": "2027-01-12T15:00", "line": 0, "parcels": 100}
    assert stock(SHOTS, PRINTED, packed) == [(("cream",), 104, False), (("cream",), 400, True)]


@pytest.mark.parametrize(
    ("campaign", "entry", "where"),
    [
        ("pad-printing", {"colours": ["white"]}, "/entries/0/colours"),
        ("pad-printing", {"part": "lid"}, "/entries/0/part"),
        ("painting", {"colours": ["white"]}, "/entries/0/part"),
        ("spares", {}, "/entries/0/part"),
    ],
)
def test_what_cannot_be_finished_is_refused(campaign, entry, where):
    """Nobody ordered it so, there is no such part, it is painted and does not say in which colour, nothing is done to
    it."""
    with pytest.raises(CampaignProblems) as found:
        from_here(campaign_of(campaign), None, log(PRINTED | entry))
    assert [problem.pointer for problem in found.value.problems] == [where]
    assert all(problem.remedy for problem in found.value.problems)


def test_an_entry_of_nothing_is_refused():
    with pytest.raises(ValueError, match="say how many"):
        log(PRINTED | {"parts": 0, "spoilt": 0})


def test_supporters_hear_of_it():
    assert happened(POTS, log(PRINTED).entries) == ["printed, painted or otherwise finished: 500 pot"]


def test_parts_moulded_elsewhere_are_to_come_until_they_are_here():
    """200 shots of four feet at the far works; 500 of them are here and counted."""
    feet = campaign_of("moulder-elsewhere")
    there = {
        "what": "shots",
        "at": "2027-01-11T12:00",
        "press": "small",
        "tool": "foot",
        "colours": ["cream"],
        "shots": 200,
    }
    here = {"what": "finished", "at": "2027-01-12T12:00", "part": "foot", "colours": ["cream"], "parts": 500}
    left = from_here(feet, None, log(there)).campaign
    assert [(one.count, one.finished) for one in left.parts["foot"].stock] == [(800, False)]
    left = from_here(feet, None, log(there, here)).campaign
    assert [(one.count, one.finished) for one in left.parts["foot"].stock] == [(500, True), (300, False)]
    plan = make_plan(left, Unhurried())
    assert plan.audit.holds
    assert sum(lot.good for lot in plan.finishing_lots if lot.colours == ["cream"]) == 1800 - 500


VALVES = campaign_of("sub-assembly")
PUT = {"what": "put-together", "at": "2027-01-12T12:00", "product": "pot", "colourway": "sage",
       "sub_assembly": "valve", "units": 120}  # fmt: skip


def in_hand(*entries):
    return from_here(VALVES, None, log(*entries)).campaign.products["pot"].sub_assemblies["valve"].in_hand


def test_what_is_put_together_is_in_hand_until_its_units_are_assembled_or_packed():
    (colourway,) = VALVES.products["pot"].colourways
    put = PUT | {"colourway": colourway}
    before = VALVES.products["pot"].sub_assemblies["valve"].in_hand.get(colourway, 0)
    assembled = {"what": "assembled", "at": "2027-01-12T13:00", "product": "pot", "colourway": colourway, "units": 50}
    packed = {"what": "packed", "at": "2027-01-12T15:00", "line": 0, "parcels": 70}
    assert in_hand(put) == {colourway: before + 120}
    assert in_hand(put, put | {"units": 30}) == {colourway: before + 150}
    assert in_hand(put, assembled) == {colourway: before + 70}
    assert in_hand(put, assembled, packed) == {colourway: before + 50}, "50 of those 70 were assembled before"
    assert in_hand(put, assembled | {"units": before + 120}) == {}


def test_it_is_not_put_together_again():
    """Stems and caps are moulded first, so that they are there to have gone into it."""
    (colourway,) = VALVES.products["pot"].colourways
    whole = plan_of("sub-assembly")
    made = [
        {"what": "shots", "at": "2027-01-11T20:00", "press": run.press, "tool": run.tool,
         "colours": [melt.split("/")[1] for melt in run.melts], "shots": run.shots, "done": True}
        for run in whole.runs
    ]  # fmt: skip
    left = from_here(VALVES, whole, log(*made, PUT | {"colourway": colourway}))
    plan = make_plan(soon(left.campaign), Unhurried())
    before = sum(put.units for job in whole.finishing for put in job.puts)
    assert sum(put.units for job in plan.finishing for put in job.puts) == before - 120
    assert plan.audit.holds


@pytest.mark.parametrize(
    ("entry", "where"),
    [
        ({"product": "vase"}, "/entries/0/product"),
        ({"colourway": "plum"}, "/entries/0/colourway"),
        ({"sub_assembly": "hinge"}, "/entries/0/sub_assembly"),
    ],
)
def test_what_is_not_put_together_is_refused(entry, where):
    (colourway,) = VALVES.products["pot"].colourways
    with pytest.raises(CampaignProblems) as found:
        from_here(VALVES, None, log(PUT | {"colourway": colourway} | entry))
    assert [problem.pointer for problem in found.value.problems] == [where]


def test_supporters_hear_of_what_is_put_together():
    entries = log(PUT | {"colourway": next(iter(VALVES.products["pot"].colourways))}).entries
    assert happened(VALVES, entries) == ["put together before the last assembly: 120 valve of pot"]
