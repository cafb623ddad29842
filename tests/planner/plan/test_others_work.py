"""Others' work on a press: mounted anew, purged of what they left, started up; a run that straddles it pays again."""

import copy
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.planning.make import make_plan
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import COST, timing_for

Json = dict[str, Any]


def document(others: list[Json], **more: Any) -> Json:
    """A thousand shots of 40 s on one press, Monday to Friday from six to two: 36 an hour for it and for its setter."""
    return {
        "document": "campaign/1",
        "name": "saucers",
        "start": "2027-01-11T06:00",
        "presses": {
            "p": {
                "barrels": [{"holdup_kg": 0.5, "shot_max_g": 200, "plasticising_kg_h": 60, "clean": True}],
                "clamp_kn": 500,
                "hours": {"mon-fri": "06:00-14:00"},
                "rate_per_hour": 36,
                "others": others,
            }
            | more.pop("press", {})
        },
        "tools": {
            "saucer": {
                "cavities": {"saucer": 1},
                "cycle_s": 36,
                "scrap_share": 0,
                "clamp_kn": 300,
                "presses": ["p"],
            }
            | more.pop("tool", {})
        },
        "resins": {
            "pp": {
                "family": "PP", "price_per_kg": 2, "stock_kg": 500, "natural_colour": "clear", "melt_density": 0.945,
            },
            "pe": {"family": "PE-LD", "price_per_kg": 1, "lead_days": 0, "natural_colour": "clear"},
        }
        | more.pop("resins", {}),
        "colours": {
            "clear": {"hex": "#f1f0ec", "finish": "natural", "let_down_percent": 0},
            "white": {"hex": "#f5f5f2", "price_per_kg": 10, "stock_kg": 50, "let_down_percent": 2},
            "black": {"hex": "#141414", "price_per_kg": 10, "stock_kg": 50, "let_down_percent": 2},
        },
        "parts": {"saucer": {"barrels": [{"resin": more.pop("resin", "pp"), "mass_g": 50}]}},
        "products": {"q": {"parts": {"saucer": 1}, "colourways": {"white": {"saucer": ["white"]}}}},
        "tiers": {"one": {"units": {"q": 1}, "promised": "2027-01-11", "late_cost_per_day": 5}},
        "orders": [{"tier": "one", "units": {"q": ["white"]}, "count": 1000}],
        "floor": {"setter_rate_per_hour": 36},
        "purging": {"given": [{"from": "pp/black", "to": "pp/white", "kg": 1.2}], "compound": None},
        "scrap_taken": "known",
        "planning": {"rounds": 1},
    } | more  # fmt: skip


TUESDAY = {"hours": {"tue": "06:00-10:00"}, "leaves": ["pp/black"], "moulds": ["pp"]}


def planned(data: Json) -> tuple[Campaign, RunPlan]:
    campaign = read(data)
    return campaign, make_plan(campaign, Unhurried())


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    return planned(document([TUESDAY]))


def spans(plan: RunPlan) -> list[tuple[str, str, int]]:
    runs = sorted(plan.runs, key=lambda run: run.start)
    return [(f"{s.start:%a %H:%M:%S}", f"{s.end:%a %H:%M:%S}", s.shots) for run in runs for s in run.stretches]


def test_a_run_that_straddles_others_work_pays_again(made: tuple[Campaign, RunPlan]) -> None:
    """By hand: 20 min of warm-up, 60 to mount and 10 shots, 5200 s, are over on Monday at 07:26:40, and 23,600 s make
    590 shots. On Tuesday from ten on the same and 1.2 kg at half of 60 kg an hour, 144 s: 5344 s. 410 shots take
    16,400 s, 9056 of them until two and 7344 on Wednesday after a restart of 1600 s."""
    campaign, plan = made
    first, second = sorted(plan.runs, key=lambda run: run.start)
    assert (first.shots, second.shots) == (590, 410)
    assert spans(plan) == [
        ("Mon 07:26:40", "Mon 14:00:00", 590),
        ("Tue 11:29:04", "Tue 14:00:00", 226),
        ("Wed 06:00:00", "Wed 08:29:04", 184),
    ]
    change = second.changeover
    assert change is not None
    assert (change.warm_up_seconds, change.mount_seconds, change.startup_seconds) == (1200, 3600, 400)
    assert change.from_tool is None
    assert [(p.from_, p.to, p.kg, p.seconds, p.basis) for p in change.purges] == [
        ("pp/black", "pp/white", 1.2, 144, "given")
    ]
    told = change.after_others
    assert told is not None
    assert (f"{told.since:%a %H:%M}", f"{told.until:%a %H:%M}", told.left) == ("Tue 06:00", "Tue 10:00", ["pp/black"])
    assert first.others_from == told.since
    assert first.changeover is not None
    assert first.changeover.after_others is None
    assert f"{second.others_from:%a %d %H:%M}" == "Tue 19 06:00"
    lines = {str(line.what): line.amount for line in plan.costs}
    seconds = 5200 + 23_600 + 5344 + 9056 + 1600 + 7344
    assert lines["press hours"] == pytest.approx(seconds * 36 / 3600)
    assert lines["setter hours"] == pytest.approx((5200 + 5344) * 36 / 3600)
    white = 2 * 0.98 + 10 * 0.02
    assert lines["purge material"] == pytest.approx(1.2 * white)
    assert lines["start-up material"] == pytest.approx(3 * 10 * 0.05 * white)
    assert plan.purge_kg == pytest.approx(1.2)
    assert audit(campaign, plan).holds
    assert plan.outcome.status == "feasible"
    assert plan.outcome.lower_bound <= plan.outcome.total


def test_parts_that_need_less_material_than_the_whole_run_are_planned_soundly() -> None:
    """20 of 50 kg are there, the rest comes at ten: the whole run waits for it, though its first part need not. By
    hand: set up already, so restart until 10:26:40, and 320 shots until two; the rest from Tuesday at ten on."""
    stock = {
        "family": "PP", "price_per_kg": 2, "stock_kg": 20, "natural_colour": "clear", "melt_density": 0.945,
        "arrivals": [{"on": "2027-01-11T10:00", "amount": 60}],
    }  # fmt: skip
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200, "plasticising_kg_h": 60, "holds": "pp/white"}
    data = document([TUESDAY], press={"tool": "saucer", "barrels": [barrel]}, resins={"pp": stock})
    campaign, plan = planned(data)
    assert not any(one.about == "a first plan that was set aside" for one in plan.cautions)
    assert audit(campaign, plan).holds
    assert sum(run.shots for run in plan.runs) == 1000
    first = min(plan.runs, key=lambda run: run.start)
    assert (f"{first.stretches[0].start:%a %H:%M}", first.shots) == ("Mon 10:00", 320)
    assert (first.waits_for, first.not_before) == ("material", None)
    ours, solution = followed(*compile_campaign(campaign), order_of(plan))
    timing = timing_for(ours)
    objective_of(packed_instance(ours), solution, timing)
    assert timing.totals[COST] == pytest.approx(plan.outcome.total, abs=0.005)


def test_closed_hours_are_not_others_work(made: tuple[Campaign, RunPlan]) -> None:
    """The same hours closed: one run, no second mount, no purge."""
    data = document([], press={"on_dates": {"2027-01-12": "10:00-14:00"}})
    _, plan = planned(data)
    assert [run.shots for run in plan.runs] == [1000]
    assert plan.purge_kg == 0
    assert plan.outcome.total < made[1].outcome.total


def test_windows_a_week_apart_are_mounted_anew_each_time() -> None:
    """A press that is ours on Mondays only, others' in between: 590 shots a week, and half a shot is not begun."""
    data = document([{"whenever_closed": True, "leaves": ["pp/white"]}], press={"hours": {"mon": "06:00-14:00"}})
    campaign, plan = planned(data)
    assert [run.shots for run in sorted(plan.runs, key=lambda run: run.start)] == [590, 410]
    assert all(run.changeover and run.changeover.mount_seconds == 3600 for run in plan.runs)
    assert plan.purge_kg == 0  # they leave our own melt
    assert audit(campaign, plan).holds


def test_what_nobody_knows_is_purged_by_the_dearest() -> None:
    """8 hold-ups of 0.5 kg, the figure for a colour nobody has described: more than 1.2 kg given for black."""
    for leaves in ([], None):
        entry = TUESDAY | {"leaves": leaves or []}
        campaign, plan = planned(document([entry]))
        (purge,) = [p for run in plan.runs if run.changeover for p in run.changeover.purges]
        assert (purge.from_, purge.kg, purge.kg_p10) == ("unknown melt", 4.0, 0.0)
        assert purge.kg_p90 > 4.0
        assert audit(campaign, plan).holds
    dearer = document([TUESDAY | {"leaves": []}, {"hours": {"fri": "12:00-13:00"}, "leaves": ["pp/black"]}])
    dearer["purging"]["given"][0]["kg"] = 6.5
    _, plan = planned(dearer)
    assert max(p.kg for run in plan.runs if run.changeover for p in run.changeover.purges) == 6.5


def test_others_who_are_at_work_when_the_campaign_begins() -> None:
    """They have had the press since six, the campaign begins at eight: they are told of from then on."""
    entry = {"hours": {"mon": "06:00-09:00"}, "leaves": ["pp/black"], "moulds": ["pp"]}
    campaign, plan = planned(document([entry], start="2027-01-11T08:00"))
    change = min(plan.runs, key=lambda run: run.start).changeover
    assert change is not None
    assert change.after_others is not None
    assert [f"{at:%a %H:%M}" for at in (change.after_others.since, change.after_others.until)] == [
        "Mon 08:00",
        "Mon 09:00",
    ]
    assert [purge.from_ for purge in change.purges] == ["pp/black"]
    assert audit(campaign, plan).holds


def test_nobody_takes_over_a_press_that_never_closes() -> None:
    """Others have it whenever it is not open for us, and it always is; our run ends late in a day of work."""
    many = [{"tier": "one", "units": {"q": ["white"]}, "count": 1550}]
    _, plan = planned(document([{"whenever_closed": True}], press={"hours": {"mon-sun": "00:00-24:00"}}, orders=many))
    assert [run.others_from for run in plan.runs] == [None]


def test_two_who_end_at_once_leave_nobody_knows_what() -> None:
    """What is left is what the last of them leaves; of two at one moment nobody can say whose melt it is."""
    other = TUESDAY | {"hours": {"tue": "08:00-10:00"}, "leaves": ["pp/white"]}
    _, plan = planned(document([TUESDAY, other]))
    assert [p.from_ for run in plan.runs if run.changeover for p in run.changeover.purges] == ["unknown melt"]
    _, plan = planned(document([TUESDAY, other | {"hours": {"tue": "08:00-09:59"}}]))
    assert [p.from_ for run in plan.runs if run.changeover for p in run.changeover.purges] == ["pp/black"]


def test_a_hot_resin_needs_a_bridge_after_what_nobody_knows() -> None:
    """PC is moulded at 271 degrees and more, an unknown melt is counted on to stand 230: PE goes between."""
    pc = {"pc": {"family": "PC", "price_per_kg": 4, "stock_kg": 200, "natural_colour": "clear"}}
    campaign, plan = planned(document([TUESDAY | {"leaves": []}], resins=pc, resin="pc"))
    (purge,) = [p for run in plan.runs if run.changeover for p in run.changeover.purges]
    assert (purge.from_, purge.bridge, purge.bridge_kg) == ("unknown melt", "pe", 1.5)
    assert audit(campaign, plan).holds
    refused = document([TUESDAY | {"leaves": []}], resins=pc, resin="pc")
    del refused["resins"]["pe"]
    with pytest.raises(CampaignProblems) as wrong:
        read(refused)
    assert [p.pointer for p in wrong.value.problems] == ["/presses/p/others"]


def test_a_barrel_said_to_be_unknown_is_purged_and_cautioned() -> None:
    """Eight hold-ups at its first start, and whoever reads the plan is told to look first."""
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200, "unknown": True}
    campaign, plan = planned(document([], press={"barrels": [barrel]}))
    (purge,) = [p for run in plan.runs if run.changeover for p in run.changeover.purges]
    assert (purge.from_, purge.kg) == ("unknown melt", 4.0)
    assert audit(campaign, plan).holds
    assert any("dearest" in caution.text and "4.00 kg" in caution.text for caution in plan.cautions)
    with pytest.raises(CampaignProblems) as wrong:
        read(document([], press={"barrels": [barrel | {"clean": True}]}))
    assert [p.pointer for p in wrong.value.problems] == ["/presses/p/barrels/0/unknown"]


ACETAL = {"pom": {"family": "POM", "price_per_kg": 3, "stock_kg": 200, "natural_colour": "clear"}}


def test_acetal_asks_what_others_leave_and_mould() -> None:
    """Each thing not said is asked for at its field; PVC among what they mould is refused."""
    for entry, field in (
        ({"hours": {"tue": "06:00-10:00"}}, "leaves"),
        ({"hours": {"tue": "06:00-10:00"}, "leaves": ["pp/black"]}, "moulds"),
    ):
        with pytest.raises(CampaignProblems) as wrong:
            read(document([entry], resins=ACETAL, resin="pom"))
        assert [p.pointer for p in wrong.value.problems] == [f"/presses/p/others/0/{field}"]
    vinyl = ACETAL | {"vinyl": {"family": "PVC-U", "natural_colour": "clear"}}
    with pytest.raises(CampaignProblems) as wrong:
        read(document([TUESDAY | {"moulds": ["pp", "vinyl"]}], resins=vinyl, resin="pom"))
    assert [p.pointer for p in wrong.value.problems] == ["/presses/p/others/0"]


def test_acetal_is_cleared_before_others_take_over() -> None:
    """PE is left in the barrel when they come, and what they leave is purged by acetal when they have gone."""
    campaign, plan = planned(document([TUESDAY], resins=ACETAL, resin="pom"))
    first, second = sorted(plan.runs, key=lambda run: run.start)[:2]
    assert first.stretches[-1].closing is not None
    assert [one.to for one in first.stretches[-1].closing.cleared] == ["pe/clear"]
    assert second.changeover is not None
    assert [p.from_ for p in second.changeover.purges] == ["pp/black"]
    assert audit(campaign, plan).holds


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"leaves": ["pp/black"]}, "/presses/p/others/0/hours"),
        (TUESDAY | {"leaves": ["pp/black", "pp/white"]}, "/presses/p/others/0/leaves"),
        (TUESDAY | {"leaves": ["pp/blcak"]}, "/presses/p/others/0/leaves/0"),
        (TUESDAY | {"moulds": ["nylon"]}, "/presses/p/others/0/moulds/0"),
        ({"whenever_closed": True, "hours": {"mon-fri": "06:00-14:00"}}, "/presses/p/hours"),
    ],
)
def test_what_cannot_be_meant_is_refused_at_its_field(entry: Json, field: str) -> None:
    """No hours, a melt too many, ids that name nothing, and hours that leave us none."""
    with pytest.raises(CampaignProblems) as wrong:
        read(document([entry]))
    assert field in [p.pointer for p in wrong.value.problems]


def _second(plan: Json) -> Json:
    run: Json = sorted(plan["runs"], key=lambda run: run["start"])[1]
    return run


def _earlier(moment: str, seconds: int) -> str:
    return (datetime.fromisoformat(moment) - timedelta(seconds=seconds)).isoformat()


def mount_left_out(plan: Json) -> None:
    change = _second(plan)["changeover"]
    change["end"], change["mount_seconds"] = _earlier(change["end"], 3600), 0


def purge_left_out(plan: Json) -> None:
    _second(plan)["changeover"]["purges"] = []


def purge_shaved(plan: Json) -> None:
    _second(plan)["changeover"]["purges"][0]["kg"] = 0.4


def told_from_our_own_melt(plan: Json) -> None:
    _second(plan)["changeover"]["purges"][0]["from"] = "pp/white"


def our_tool_still_in(plan: Json) -> None:
    _second(plan)["changeover"]["from_tool"] = "saucer"


def no_changeover(plan: Json) -> None:
    _second(plan)["changeover"] = None


def gone_on_as_one_run(plan: Json) -> None:
    first, second = sorted(plan["runs"], key=lambda run: run["start"])
    first["stretches"] += second["stretches"]
    first["shots"] += second["shots"]
    first["end"] = second["end"]
    plan["runs"] = [first]


def not_told_who_was_there(plan: Json) -> None:
    _second(plan)["changeover"]["after_others"] = None


def told_that_they_left_our_melt(plan: Json) -> None:
    _second(plan)["changeover"]["after_others"]["left"] = ["pp/white"]


def told_that_they_ended_sooner(plan: Json) -> None:
    told = _second(plan)["changeover"]["after_others"]
    told["until"] = _earlier(told["until"], 3600)


def not_told_who_comes(plan: Json) -> None:
    sorted(plan["runs"], key=lambda run: run["start"])[0]["others_from"] = None


def at_work_in_their_hours(plan: Json) -> None:
    change = _second(plan)["changeover"]
    change["start"] = _earlier(change["start"], 1)
    change["warm_up_seconds"] += 1


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (mount_left_out, "A5"), (purge_left_out, "A5"), (purge_shaved, "A5"), (told_from_our_own_melt, "A5"),
        (not_told_who_was_there, "A5"), (told_that_they_left_our_melt, "A5"), (told_that_they_ended_sooner, "A5"),
        (not_told_who_comes, "A5"),
        (our_tool_still_in, "A5"), (no_changeover, "A5"),
        (gone_on_as_one_run, "A4"), (at_work_in_their_hours, "A4"),
    ],
)  # fmt: skip
def test_each_way_of_leaving_it_out_is_caught(
    made: tuple[Campaign, RunPlan], spoil: Callable[[Json], None], rule: str
) -> None:
    """By A5 where a changeover is not what others ask for, by A4 where their hours are not kept free."""
    campaign, plan = made
    data = copy.deepcopy(plan.model_dump(mode="json", by_alias=True))
    spoil(data)
    verdict = audit(campaign, RunPlan.model_validate(data))
    assert rule in {one.rule for one in verdict.rules if not one.holds}


@pytest.mark.parametrize(
    "said",
    [
        {"leaves": [], "moulds": ["pp"]},
        {"moulds": []},
        {"moulds": ["pp", "vinyl"]},
    ],
)
def test_a6_sees_acetal_where_others_may_have_had_what_it_must_not_meet(said: Json) -> None:
    """The plan as it is, and a campaign that says less, or worse, of the others."""
    vinyl = ACETAL | {"vinyl": {"family": "PVC-U", "natural_colour": "clear"}}
    campaign, plan = planned(document([TUESDAY], resins=vinyl, resin="pom"))
    press = campaign.presses["p"]
    others = [press.others[0].model_copy(update=said)]
    worse = campaign.model_copy(update={"presses": {"p": press.model_copy(update={"others": others})}})
    verdict = audit(worse, plan)
    assert "A6" in {one.rule for one in verdict.rules if not one.holds}
