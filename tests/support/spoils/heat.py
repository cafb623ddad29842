"""Spoils of heat in barrels (A5): heating left out, resins that do not meet, melts left to stand."""

from typing import Any

from tests.support.spoils.ways import Spoilt, first, later, spoils


def _barrel_purge(s: Spoilt) -> tuple[dict[str, Any], dict[str, Any]]:
    """(run, purge) of the first barrel purge."""
    run = s.changed("barrel")
    return run, next(purge for purge in run["changeover"]["purges"] if purge["where"] == "barrel" and purge["kg"] > 0)


@spoils("A5")
def heated_for_nothing(s: Spoilt) -> None:
    run, purge = _barrel_purge(s)
    purge |= {"heat_seconds": purge.get("heat_seconds", 0) + 60, "seconds": purge["seconds"] + 60}
    run["changeover"]["start"] = later(run["changeover"]["start"], -60)


@spoils("A5")
def bridge_of_kilograms_without_a_resin(s: Spoilt) -> None:
    _, purge = _barrel_purge(s)
    purge["bridge_kg"] = purge.get("bridge_kg", 0) + 0.1


@spoils("A5")
def a_melt_follows_one_that_is_far_too_hot_for_it(s: Spoilt) -> None:
    """What the barrel held melts at 320; what comes stands 300 at most, and nothing goes between."""
    held = {b["holds"] for press in s.campaign["presses"].values() for b in press["barrels"] if b.get("holds")}
    changes = [run["changeover"] for run in s.plan["runs"] if run["changeover"]]
    purge = first([p for c in changes for p in c["purges"] if p["where"] == "barrel"], lambda p: p["from"] in held)
    old, _, colour = purge["from"].partition("/")
    s.campaign["resins"]["hot-resin"] = s.campaign["resins"][old] | {"melt_c": [320, 360], "survives_c": 380}
    for press in s.campaign["presses"].values():
        for barrel in press["barrels"]:
            if barrel.get("holds") == purge["from"]:
                barrel["holds"] = f"hot-resin/{colour}"
    for run in s.plan["runs"]:
        run["melts"] = [f"hot-resin/{colour}" if melt == purge["from"] else melt for melt in run["melts"]]
    purge["from"] = f"hot-resin/{colour}"


@spoils("A5")
def a_melt_left_to_stand_that_must_not(s: Spoilt) -> None:
    s.campaign["resins"][s.plan["runs"][0]["melts"][0].partition("/")[0]]["stands_cold"] = False


@spoils("A5")
def a_closing_that_clears_nothing(s: Spoilt) -> None:
    s.plan["runs"][0]["stretches"][-1]["closing"] = {"seconds": 60, "cleared": []}


@spoils("A5")
def hot_runner_cleared_in_too_few_shots(s: Spoilt) -> None:
    run = s.changed("hot runner")
    first(run["changeover"]["purges"], lambda purge: purge["where"] == "hot runner" and purge["kg"] > 0)["shots"] -= 1


@spoils("A5")
def hot_runner_cleared_in_no_time(s: Spoilt) -> None:
    run = s.changed("hot runner")
    first(run["changeover"]["purges"], lambda purge: purge["where"] == "hot runner" and purge["kg"] > 0)["seconds"] -= 1


@spoils("A9")
def nobody_there_to_change_over(s: Spoilt) -> None:
    """People come for an hour a day only, long after the first changeover."""
    s.run(lambda run: run["changeover"])
    s.campaign["floor"]["attended"] = {"hours": {"sun": "03:00-04:00"}}


@spoils("A4")
def a_press_that_works_on_when_the_people_have_left(s: Spoilt) -> None:
    s.campaign["floor"]["attended"] = {"hours": {"mon-fri": "05:00-06:30"}}


@spoils("A5")
def a_restart_that_purges_though_nothing_was_cleared(s: Spoilt) -> None:
    _, purge = _barrel_purge(s)
    run = s.plan["runs"][0]
    run["stretches"][-1]["purges"] = [purge | {"way": "purging compound"}]
