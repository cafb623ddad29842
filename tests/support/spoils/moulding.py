"""Spoils at the press: where a run stands, when it works, what it takes (A1 to A4)."""

import copy
from datetime import datetime
from typing import Any

from tests.support.spoils.ways import NoPlace, Spoilt, begin, later, move, seconds_between, spoils


def _shot_g(s: Spoilt, run: dict[str, Any]) -> float:
    tool = s.tool(run)
    return sum(  # type: ignore[no-any-return]
        (count - tool["blocked_cavities"].get(part, 0)) * s.campaign["parts"][part]["barrels"][0]["mass_g"]
        for part, count in tool["cavities"].items()
    )


@spoils("A1")
def run_on_a_press_the_tool_may_not_use(s: Spoilt) -> None:
    run = s.run()
    s.campaign["presses"]["elsewhere"] = copy.deepcopy(s.campaign["presses"][run["press"]])
    run["press"] = "elsewhere"


@spoils("A1")
def tool_that_asks_for_more_clamp_force(s: Spoilt) -> None:
    run = s.run()
    s.tool(run)["clamp_kn"] = s.campaign["presses"][run["press"]]["clamp_kn"] + 1


@spoils("A1")
def press_that_has_lost_a_barrel(s: Spoilt) -> None:
    run = s.run(lambda run: len(run["melts"]) == 2)
    s.campaign["presses"][run["press"]]["barrels"].pop()


@spoils("A1")
def shot_larger_than_the_barrel(s: Spoilt) -> None:
    run = s.run()
    s.campaign["presses"][run["press"]]["barrels"][0]["shot_max_g"] = _shot_g(s, run) * 0.99
    s.campaign["presses"][run["press"]]["barrels"][0]["shot_min_g"] = 0


@spoils("A1")
def shot_smaller_than_the_barrel_meters(s: Spoilt) -> None:
    barrel = s.campaign["presses"][s.run()["press"]]["barrels"][0]
    barrel["shot_min_g"], barrel["shot_max_g"] = 99_000, 100_000


@spoils("A1")
def another_resin_than_the_part_is_made_of(s: Spoilt) -> None:
    run = s.run()
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"]["other-resin"] = copy.deepcopy(s.campaign["resins"][resin])
    run["melts"][0] = f"other-resin/{colour}"


@spoils("A1")
def tool_nobody_has(s: Spoilt) -> None:
    s.run()["tool"] = "unheard-of"


@spoils("A1")
def a_run_the_maker_fixed_is_not_first(s: Spoilt) -> None:
    for press in s.campaign["presses"]:
        runs = sorted(
            (r for r in s.plan["runs"] if r["press"] == press), key=lambda r: datetime.fromisoformat(begin(r))
        )
        if len(runs) > 1 and (runs[0]["tool"], runs[0]["melts"]) != (runs[1]["tool"], runs[1]["melts"]):
            colours = [melt.split("/")[1] for melt in runs[1]["melts"]]
            s.campaign["presses"][press]["begins_with"] = [{"tool": runs[1]["tool"], "colours": colours}]
            return
    raise NoPlace


@spoils("A2")
def run_begins_before_the_one_before_has_ended(s: Spoilt) -> None:
    for before in s.plan["runs"]:
        for after in s.plan["runs"]:
            if before["press"] == after["press"] and begin(before) < begin(after):
                move(after, -int(seconds_between(before["end"], begin(after))) - 600)
                return
    raise NoPlace


@spoils("A2")
def tool_in_two_presses_at_once(s: Spoilt) -> None:
    run = copy.deepcopy(s.run())
    s.campaign["presses"]["elsewhere"] = copy.deepcopy(s.campaign["presses"][run["press"]])
    s.tool(run)["presses"].append("elsewhere")
    run["press"], run["id"] = "elsewhere", run["id"] + "-again"
    s.plan["runs"].append(run)


@spoils("A2")
def stretches_in_the_wrong_order(s: Spoilt) -> None:
    s.run(lambda run: len(run["stretches"]) > 1)["stretches"].reverse()


@spoils("A2")
def changeover_ends_after_production_has_begun(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"])["changeover"]
    changeover["end"] = later(changeover["end"], 60)


@spoils("A3")
def tool_ready_after_its_run_begins(s: Spoilt) -> None:
    run = s.run()
    s.tool(run)["ready"] = later(begin(run), 60)[:19]


@spoils("A3")
def campaign_starts_after_the_first_run(s: Spoilt) -> None:
    earliest = min((begin(run) for run in s.plan["runs"]), key=datetime.fromisoformat)
    s.campaign["start"] = later(earliest, 60)[:19]


@spoils("A3")
def resin_that_is_not_there(s: Spoilt) -> None:
    resin = s.campaign["resins"][s.run()["melts"][0].split("/")[0]]
    resin |= {"stock_kg": 0, "arrivals": [], "lead_days": None}


@spoils("A3")
def bought_resin_arrives_too_late(s: Spoilt) -> None:
    for line in s.plan["materials"]:
        if line["bought_kg"] > 0:
            s.material(line)["lead_days"] = 400
            return
    raise NoPlace


@spoils("A3")
def resin_there_but_not_dried(s: Spoilt) -> None:
    """What comes as the campaign starts would need 10 days in the dryer."""
    resin = s.campaign["resins"][s.run()["melts"][0].split("/")[0]]
    resin["arrivals"] = [{"on": s.campaign["start"], "amount": 1e6}]
    resin |= {"stock_kg": 0, "lead_days": None, "drying_hours": 10_000}


@spoils("A4")
def a_minute_shaved_off_production(s: Spoilt) -> None:
    run = s.run()
    run["end"] = run["stretches"][-1]["end"] = later(run["end"], -60)


@spoils("A4")
def a_second_shaved_off_production(s: Spoilt) -> None:
    run = s.run()
    run["end"] = run["stretches"][-1]["end"] = later(run["end"], -1)


@spoils("A4")
def cold_restart_forgotten(s: Spoilt) -> None:
    stretch = s.run(lambda run: run["stretches"][-1]["restart_seconds"] > 0)["stretches"][-1]
    stretch["restart_seconds"], stretch["restart_shots"] = 0, 0


@spoils("A4")
def restart_shots_forgotten(s: Spoilt) -> None:
    s.run(lambda run: run["stretches"][-1]["restart_shots"] > 0)["stretches"][-1]["restart_shots"] -= 1


@spoils("A4")
def work_on_a_holiday(s: Spoilt) -> None:
    run = s.run(lambda run: run["stretches"])
    day = run["stretches"][-1]["start"][:10]
    for place in s.campaign["presses"].values():
        place["on_dates"].pop(day, None)
    s.campaign["closed_days"].append(day)


@spoils("A4")
def work_goes_on_after_closing(s: Spoilt) -> None:
    stretch = s.run(lambda run: len(run["stretches"]) > 1)["stretches"][0]
    stretch["end"] = later(stretch["end"], 3600)


@spoils("A4")
def pause_in_the_middle_of_the_day(s: Spoilt) -> None:
    stretch = s.run(lambda run: len(run["stretches"]) > 1)["stretches"][0]
    stretch["end"] = later(stretch["end"], -600)


@spoils("A4")
def idle_minutes_after_the_changeover(s: Spoilt) -> None:
    run = s.run(lambda run: run["changeover"] and len(run["stretches"]) == 1)
    for piece in (run, run["stretches"][0]):
        piece["start"], piece["end"] = later(piece["start"], 300), later(piece["end"], 300)


@spoils("A4")
def stretch_claims_more_shots(s: Spoilt) -> None:
    s.run()["stretches"][0]["shots"] += 1


@spoils("A4")
def faster_shots_than_the_press_makes(s: Spoilt) -> None:
    s.run()["shot_seconds"] *= 0.9


@spoils("A4")
def more_shots_in_the_same_time(s: Spoilt) -> None:
    run = s.run()
    run["shots"] += 5
    run["stretches"][-1]["shots"] += 5


@spoils("A4")
def moment_with_another_offset(s: Spoilt) -> None:
    run = s.run()
    run["end"] = datetime.fromisoformat(later(run["end"], 5 * 3600)).isoformat()[:19] + "+05:00"


@spoils("A1")
def two_runs_of_one_name(s: Spoilt) -> None:
    if len(s.plan["runs"]) < 2:
        raise NoPlace
    s.plan["runs"][1]["id"] = s.plan["runs"][0]["id"]


@spoils("A4")
def restart_as_long_as_the_day(s: Spoilt) -> None:
    stretch = s.run()["stretches"][0]
    stretch["restart_seconds"] = int(seconds_between(stretch["start"], stretch["end"]))


@spoils("A4")
def run_said_to_end_later_than_its_stretches(s: Spoilt) -> None:
    run = s.run()
    run["end"] = later(run["end"], 60)


@spoils("A4")
def run_on_a_day_after_the_next_opening(s: Spoilt) -> None:
    """The press stands idle for a day in the middle of a run, though it was open."""
    run = s.run(lambda run: len(run["stretches"]) > 1)
    last = run["stretches"][-1]
    last["start"], last["end"] = later(last["start"], 86400), later(last["end"], 86400)
    run["end"] = last["end"]


@spoils("A4")
def plan_for_another_time_zone(s: Spoilt) -> None:
    s.plan["time_zone"] = "Asia/Tokyo" if s.campaign["time_zone"] != "Asia/Tokyo" else "Europe/London"


@spoils("A1")
def fixed_shots_run_elsewhere(s: Spoilt) -> None:
    """A run is pinned on a press that does not have it."""
    for run in s.plan["runs"]:
        for press in sorted(set(s.campaign["presses"]) - {run["press"]}):
            colours = [melt.partition("/")[2] for melt in run["melts"]]
            pin = {"tool": run["tool"], "colours": colours, "shots": run["shots"]}
            s.campaign["presses"][press]["begins_with"] = [pin]
            return
    raise NoPlace
