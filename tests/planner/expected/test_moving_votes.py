"""A vote that moves orders from one colourway to another: what is certain is moulded before the day, what is open once
it is known, in the colour that it then is."""

import json
from copy import deepcopy
from datetime import datetime, timedelta
from itertools import permutations

import pytest

from examples.situations import FOLDER
from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork, WorkRun
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.make import kept, make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.settled import things, turned_out
from planner.settled.open_orders import as_ordered
from planner.settled.recipes import with_recipes
from tests.support.assertions import assert_plan_holds, broken_rules

OPEN = "cream or moss"


def document():
    """The situation, with a press that never closes: when a run is moulded then changes no money."""
    data = json.loads((FOLDER / "moving-vote.json").read_text(encoding="utf-8"))
    data["presses"]["big"]["hours"] = {"mon-sun": "00:00-24:00"}
    data["planning"] |= {"rounds": 2, "when_late": "as planned"}
    return data


def vote(data):
    return data["uncertainty"]["settled"]["late choices"]


def moves(data):
    return vote(data)["outcomes"]["moss"]["moves"]


@pytest.fixture(scope="module")
def made():
    campaign = read(document())
    return campaign, make_plan(campaign, Unhurried())


def colours(branch):
    return [run.melts[0].partition("/")[2] for run in branch.runs]


def test_what_is_certain_comes_first_and_what_is_open_once_it_is_known(made):
    """600 of 3,000 in cream are open: 2,400 are moulded as cream whatever happens, two a shot."""
    campaign, plan = made
    told = plan.outcome.expected.branches
    assert [(line.units["pot"], line.count) for line in campaign.orders] == [
        (["cream"], 2400), ([OPEN], 600), (["moss"], 2000), (["grey"], 1500),
    ]  # fmt: skip
    for branch in told.branches:
        shots = {run.melts[0]: run.shots for run in branch.runs}
        assert shots == {"pp/cream": 1200, f"pp/{OPEN}": 300, "pp/moss": 1000, "pp/grey": 750}
        assert all(run.begin >= told.known for run in branch.runs if run.melts == [f"pp/{OPEN}"])
    assert [branch.moves for branch in told.branches] == [[], ["600 orders of pot from cream to moss"]]
    assert_plan_holds(campaign, plan)
    assert not any(rule.left_out for rule in plan.audit.rules)  # the auditor times scenarios of both outcomes anew


def test_open_orders_follow_their_colour_and_nothing_is_purged_between_the_two(made):
    _, plan = made
    first, second = (colours(branch) for branch in plan.outcome.expected.branches.branches)
    assert first.index(OPEN) == first.index("cream") + 1
    assert abs(second.index(OPEN) - second.index("moss")) == 1
    after_cream = next(run for run in plan.runs if run.melts == [f"pp/{OPEN}"])
    assert after_cream.changeover is None


def in_order(campaign, orders, shots):
    """Money for the work in each of those orders of colours, from a plan made of it and audited."""
    no_search = campaign.planning.model_copy(update={"rounds": 0, "aim": "cost if all goes well"})
    inst, names = compile_campaign(campaign)
    service = order_of(make_plan(campaign.model_copy(update={"planning": no_search}), Unhurried())).service
    for order in orders:
        runs = [WorkRun(tool="pot", colours=[colour], shots=shots[colour]) for colour in order]
        plan = kept(inst, names, OrderOfWork(presses={"big": runs}, service=service))
        assert plan.audit.holds
        yield plan.outcome.total


def test_no_common_part_and_no_two_orders_cost_less(made):
    """Brute force: whatever is moulded before the vote, then any order of the rest for either outcome."""
    campaign, plan = made
    shots = {run.melts[0].partition("/")[2]: run.shots for run in plan.runs}
    thing = things(campaign)[0]
    orders = list(permutations(shots))
    cost = {
        (n, order): money
        for n, turn in enumerate(thing.turns)
        for order, money in zip(orders, in_order(with_recipes(campaign, turn), orders, shots), strict=True)
    }
    branches = plan.outcome.expected.branches.branches
    for n, branch in enumerate(branches):
        assert branch.total == pytest.approx(cost[n, tuple(colours(branch))] + branch.on_top, abs=0.01)
    certain = sorted(set(shots) - {OPEN})
    heads = [head for n in range(4) for head in permutations(certain, n)]
    least = min(
        sum(
            branch.chance * min(money for (at, order), money in cost.items() if at == n and order[: len(head)] == head)
            for n, branch in enumerate(branches)
        )
        for head in heads
    )
    assert sum(branch.chance * (branch.total - branch.on_top) for branch in branches) == pytest.approx(least, abs=0.01)
    assert plan.outcome.expected.bound <= plan.outcome.expected.mean


def test_once_it_is_known_open_orders_are_orders_of_that_colour(made):
    """Moulded with all others of it: as much in all, and what the branch said, to the penny, since nothing is set up
    between two names of one colour."""
    campaign, plan = made
    thing = things(campaign)[0]
    ordered = {"cream": ({"cream": 3000, "moss": 2000}, 1500), "moss": ({"cream": 2400, "moss": 2600}, 1300)}
    for turn, branch in zip(thing.turns, plan.outcome.expected.branches.branches, strict=True):
        then = turned_out(campaign, thing, turn)
        found = {}
        for line in then.orders:
            (colourway,) = line.units["pot"]
            found[colourway] = found.get(colourway, 0) + line.count
        assert found == ordered[turn.id][0] | {"grey": 1500}
        assert OPEN not in then.colours
        assert OPEN not in then.products["pot"].colourways
        order = [turn.id if colour == OPEN else colour for colour in colours(branch)]
        whole = {"cream": found["cream"] // 2, "moss": found["moss"] // 2, "grey": 750}
        (told,) = in_order(then, [list(dict.fromkeys(order))], whole)
        assert branch.total == pytest.approx(told, abs=0.01)


def test_when_the_outcome_is_ticked_the_branch_is_the_plan(made):
    """On the Saturday after, cream moulded and nothing else: moss is planned with the 600, in the branch's order."""
    campaign, plan = made
    cream = next(run for run in plan.runs if run.melts == ["pp/cream"])
    log = Actuals.model_validate(
        {
            "as_of": "2027-01-16T00:00",
            "entries": [
                {"what": "shots", "at": "2027-01-12T00:00", "press": "big", "tool": "pot", "colours": ["cream"],
                 "shots": cream.shots, "good": {"pot": 2 * cream.shots}, "done": True},
                {"what": "turned-out", "at": "2027-01-16T00:00", "thing": "settled/late choices", "outcome": "moss"},
            ],
        }
    )  # fmt: skip
    now = from_here(campaign, plan, log).campaign
    assert now.uncertainty.settled == {}
    branch = plan.outcome.expected.branches.branches[1]
    assert [run.colours[0] for run in now.planning.begin_from.presses["big"]] == [
        "moss" if colour == OPEN else colour for colour in colours(branch)
    ]
    again = make_plan(now.model_copy(update={"uncertainty": None}), Unhurried())
    assert {run.melts[0]: run.shots for run in again.runs} == {"pp/moss": 1300, "pp/grey": 750}


def test_reading_what_was_read_changes_nothing(made):
    campaign, _ = made
    assert read(written_down(campaign)).model_dump() == campaign.model_dump()


def written_down(campaign):
    return json.loads(campaign.model_dump_json(by_alias=True, exclude_unset=True))


BOUGHT_SINCE = [
    {"tier": "one", "units": {"pot": [colour]}, "count": n} for colour, n in (("moss", 1800), ("cream", 2500))
]


def test_orders_brought_after_it_was_written_down_are_told_apart_anew(made):
    """The vote is open, the campaign is planned again from the floor on Wednesday, then the shop's table comes anew."""
    campaign, plan = made
    log = Actuals.model_validate(
        {
            "as_of": "2027-01-13T06:00",
            "entries": [
                {"what": "shots", "at": "2027-01-12T00:00", "press": "big", "tool": "pot", "colours": ["cream"],
                 "shots": 400, "good": {"pot": 800}},
                {"what": "packed", "at": "2027-01-12T12:00", "line": 0, "parcels": 100},
            ],
        }
    )  # fmt: skip
    now = from_here(campaign, plan, log).campaign
    assert [(line.units["pot"], line.count) for line in now.orders[:2]] == [(["cream"], 2300), ([OPEN], 600)]
    document = written_down(now)
    assert read(document).model_dump() == now.model_dump()
    document["orders"] = BOUGHT_SINCE
    again = read(document)
    assert [(line.units["pot"], line.count) for line in again.orders] == [
        (["moss"], 1800), (["cream"], 1900), ([OPEN], 600)
    ]  # fmt: skip
    then = make_plan(again, Unhurried())
    assert [branch.moves for branch in then.outcome.expected.branches.branches] == [
        [], ["600 orders of pot from cream to moss"],
    ]  # fmt: skip
    assert_plan_holds(again, then)


def test_more_may_be_moved_once_it_was_written_down(made):
    document = written_down(made[0])
    moves(document)[0]["orders"] = 900
    assert [(line.units["pot"], line.count) for line in read(document).orders[:3]] == [
        (["cream"], 2100), ([OPEN], 300), ([OPEN], 600)
    ]  # fmt: skip
    moves(document)[0]["orders"] = 3001
    with pytest.raises(CampaignProblems, match="3,000 have it"):
        read(document)


def test_as_ordered_is_the_campaign_as_its_maker_sent_it(made):
    found = written_down(as_ordered(made[0]))
    assert OPEN not in json.dumps(found)
    assert read(found).model_dump() == made[0].model_dump()
    assert [(line["units"]["pot"], line["count"]) for line in found["orders"][:2]] == [
        (["cream"], 2400),
        (["cream"], 600),
    ]


def test_orders_are_cut_from_the_end_of_the_book_and_by_tier():
    """Three outcomes that take 250 and 100 of one tier's: 150 are sure of neither third colour, 100 of none."""
    data = document()
    data["tiers"]["pair"] = {"units": {"pot": 2}, "pack_minutes": 2}
    data["orders"].insert(1, {"tier": "pair", "units": {"pot": ["cream", "grey"]}, "count": 200})
    data["orders"].append({"tier": "pair", "units": {"pot": ["cream", "cream"]}, "count": 100})
    moves(data)[0] |= {"tier": "pair", "orders": 250}
    vote(data)["outcomes"]["grey"] = {"chance": 0.1, "moves": [moves(data)[0] | {"becomes": "grey", "orders": 100}]}
    vote(data)["outcomes"]["moss"]["chance"] = 0.3
    campaign = read(data)
    assert [(line.units["pot"], line.count) for line in campaign.orders] == [
        (["cream"], 3000), (["cream", "grey"], 50), ([OPEN, "grey"], 150), (["moss"], 2000), (["grey"], 1500),
        (["cream or moss or grey"] * 2, 100),
    ]  # fmt: skip
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)


def other_numbers(data):
    """The document says 500 where the plan was made for 600."""
    data["uncertainty"]["settled"]["late choices"]["outcomes"]["moss"]["moves"][0]["orders"] = 500


def test_the_auditor_counts_what_is_moved(made):
    campaign, plan = made
    document = written_down(campaign)
    other_numbers(document)
    assert broken_rules(Campaign.model_validate(document), plan) == {"A13"}


def begun_before(said):
    """Open orders moulded on the first day, in both branches."""
    for branch in said["branches"]["branches"]:
        for run in branch["runs"]:
            if run["melts"] == [f"pp/{OPEN}"]:
                run.update(begin="2027-01-11T00:00:00Z", common=True)


SPOILS = {
    "moulded before it is known": begun_before,
    "what moves left out": lambda said: said["branches"]["branches"][1].update(moves=[]),
    "the outcome free of what it costs": lambda said: said["branches"]["branches"][1].update(on_top=-5.0),
}


@pytest.mark.parametrize("spoil", SPOILS)
def test_spoilt_votes_are_caught(made, spoil):
    campaign, plan = made
    spoilt = deepcopy(json.loads(plan.model_dump_json()))
    SPOILS[spoil](spoilt["outcome"]["expected"])
    assert "A13" in broken_rules(campaign, RunPlan.model_validate(spoilt))


REFUSED = {
    "no such product": (lambda d: moves(d)[0].update(product="lid"), "/moves/0", "not among `products`"),
    "no such colourway": (lambda d: moves(d)[0].update(becomes="teal"), "/moves/0", "no colourway of `pot`"),
    "nothing moves": (lambda d: moves(d)[0].update(becomes="cream"), "/moves/0", "not moved"),
    "no such tier": (lambda d: moves(d)[0].update(tier="two"), "/moves/0", "not among `tiers`"),
    "more than there are": (lambda d: moves(d)[0].update(orders=3001), "/moves/0", "3,000 have it"),
    "no masterbatch": (lambda d: d["colours"]["moss"].update(let_down_percent=0), "/moves/0", "takes no masterbatch"),
    "none to be had": (lambda d: d["colours"]["moss"].update(stock_kg=0), "/moves/0", "none comes"),
    "by tier and not": (
        lambda d: moves(d).append(moves(d)[0] | {"tier": "one", "orders": 1}),
        "/late choices", "by tier and altogether",
    ),
    "the first outcome": (
        lambda d: vote(d)["outcomes"]["cream"].update(moves=[moves(d)[0] | {"becomes": "grey"}]),
        "/late choices", "moves no orders",
    ),
}  # fmt: skip


@pytest.mark.parametrize("way", REFUSED)
def test_votes_that_make_no_sense_are_refused(way):
    spoil, where, words = REFUSED[way]
    data = document()
    spoil(data)
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    found = [one for one in refused.value.problems if words in f"{one.message} {one.remedy}"]
    assert found
    assert found[0].pointer.endswith(where)


def test_a_mistake_in_a_line_is_shown_where_it_stands():
    """Lines are cut for what is open; the third of the document is the third all the same."""
    data = document()
    data["orders"][2]["units"]["pot"] = ["violet"]
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    assert {one.pointer.rsplit("/pot", 1)[0] for one in refused.value.problems} == {"/orders/2/units"}


def test_the_masterbatch_is_there_when_both_colours_are():
    """Moss is ordered, eight days from door to door: the 600 wait for it, known or not."""
    data = document()
    data["colours"]["moss"] |= {"stock_kg": 0, "lead_days": 8}
    (arrival,) = read(data).colours[OPEN].arrivals
    assert arrival.on == datetime(2027, 1, 11, 6) + timedelta(days=8)
