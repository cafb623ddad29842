"""Spoils of changeovers and of what may meet in a barrel (A5, A6)."""

import copy
from typing import Any

from tests.support.spoils.ways import NoPlace, Spoilt, begin, later, move, seconds_between, spoils


def _purge(run: dict[str, Any], where: str | None = None) -> dict[str, Any]:
    found: dict[str, Any] = next(p for p in run["changeover"]["purges"] if where in (None, p["where"]) and p["kg"] > 0)
    return found


@spoils("A5")
def changeover_dropped(s: Spoilt) -> None:
    s.run(lambda run: run["changeover"])["changeover"] = None


@spoils("A5")
def purge_dropped(s: Spoilt) -> None:
    changeover = s.changed()["changeover"]
    gone = changeover["purges"].pop()
    changeover["end"] = later(changeover["end"], -gone["seconds"])


@spoils("A5")
def purge_shaved_in_kilograms_only(s: Spoilt) -> None:
    purge = _purge(s.changed())
    purge["kg"] *= 0.5
    purge["kg_p10"] = min(purge["kg_p10"], purge["kg"])


@spoils("A5")
def purge_of_nothing_where_the_colour_changes(s: Spoilt) -> None:
    purge = _purge(s.changed())
    purge |= {"kg": 0, "kg_p10": 0, "kg_p90": max(purge["kg_p90"], 0.1), "shots": 0, "seconds": 0, "cost": 0}


@spoils("A5")
def purge_with_too_few_shots(s: Spoilt) -> None:
    purge = _purge(s.changed())
    purge["shots"] -= 1


@spoils("A5")
def purge_in_no_time(s: Spoilt) -> None:
    _purge(s.changed())["seconds"] -= 1


@spoils("A5")
def purge_outside_its_own_range(s: Spoilt) -> None:
    purge = _purge(s.changed())
    purge["kg_p90"] = purge["kg"] / 2
    purge["kg_p10"] = purge["kg"] / 4


@spoils("A5")
def purge_the_wrong_way_round(s: Spoilt) -> None:
    purge = _purge(s.changed())
    purge["from"], purge["to"] = purge["to"], purge["from"]


@spoils("A5")
def purge_nobody_asked_for(s: Spoilt) -> None:
    run = s.run(lambda run: run["changeover"])
    twin = {"where": "barrel", "barrel": 1, "from": run["melts"][0], "to": run["melts"][0], "kg": 0.1, "kg_p10": 0.1}
    run["changeover"]["purges"].append(twin | {"kg_p90": 0.1, "shots": 1, "seconds": 1, "cost": 0, "basis": "given"})


@spoils("A5")
def purge_said_twice(s: Spoilt) -> None:
    purges = s.changed()["changeover"]["purges"]
    purges.append(copy.deepcopy(purges[0]))


@spoils("A5")
def estimate_passed_off_as_measured(s: Spoilt) -> None:
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["basis"] != "measured":
                purge["basis"] = "measured"
                return
    raise NoPlace


@spoils("A5")
def compound_where_the_campaign_has_none(s: Spoilt) -> None:
    s.campaign["purging"]["compound"] = None
    purge = _purge(s.changed())
    purge |= {"way": "purging compound", "compound_kg": purge["kg"] / 2, "rinse_kg": purge["kg"] / 2}


@spoils("A5")
def a_soak_without_compound(s: Spoilt) -> None:
    purge = _purge(s.changed())
    if purge["compound_kg"]:
        raise NoPlace
    purge |= {"soak_seconds": 60, "seconds": purge["seconds"] + 60}


@spoils("A5")
def melt_where_the_compound_is_wanted_always(s: Spoilt) -> None:
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["where"] == "barrel" and not purge["compound_kg"]:
                s.campaign["purging"]["compound"] = {"price_per_kg": 1, "stock_kg": 9, "use": "always"}
                return
    raise NoPlace


@spoils("A5")
def given_figure_overruled(s: Spoilt) -> None:
    """The maker gives a figure for a change; the plan keeps its own."""
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["basis"] != "measured" and not purge["compound_kg"]:
                figure = {"from": purge["from"], "to": purge["to"], "kg": purge["kg"] + 1}
                s.campaign["purging"]["given"] = [figure]
                return
    raise NoPlace


@spoils("A5")
def hot_runner_forgotten(s: Spoilt) -> None:
    changeover = s.changed("hot runner")["changeover"]
    changeover["purges"] = [purge for purge in changeover["purges"] if purge["where"] == "barrel"]


@spoils("A5")
def hot_runner_out_of_proportion(s: Spoilt) -> None:
    """A bigger hot runner asks for more; the plan keeps the figure of the small one."""
    fitted = {entry["press"] for entry in s.campaign["purging"]["log"]}
    for run in s.plan["runs"]:
        purges = run["changeover"]["purges"] if run["changeover"] and run["press"] not in fitted else []
        barrels = [p for p in purges if p["where"] == "barrel" and p["kg"] > 0 and p["basis"] == "estimated"]
        changes = {(p["barrel"], p["from"], p["to"]) for p in barrels}
        for purge in purges:
            if purge["where"] == "hot runner" and (purge["barrel"], purge["from"], purge["to"]) in changes:
                s.tool(run)["hot_runner_kg"][purge["barrel"] - 1] *= 2
                return
    raise NoPlace


@spoils("A5")
def start_up_shots_forgotten(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"] and run["changeover"]["startup_shots"])["changeover"]
    changeover["end"] = later(changeover["end"], -changeover["startup_seconds"])
    changeover["startup_shots"] = changeover["startup_seconds"] = 0


@spoils("A5")
def mount_forgotten(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"] and run["changeover"]["mount_seconds"])["changeover"]
    changeover["end"] = later(changeover["end"], -changeover["mount_seconds"])
    changeover["mount_seconds"] = 0


@spoils("A5")
def mount_of_a_tool_already_there(s: Spoilt) -> None:
    run = s.run(lambda run: run["changeover"] and run["changeover"]["mount_seconds"])
    s.campaign["presses"][run["press"]]["tool"] = run["tool"]


@spoils("A5")
def mount_from_the_wrong_tool(s: Spoilt) -> None:
    s.run(lambda run: run["changeover"])["changeover"]["from_tool"] = "unheard-of"


@spoils("A5")
def warm_up_skipped(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"] and run["changeover"]["warm_up_seconds"])["changeover"]
    changeover["end"] = later(changeover["end"], -changeover["warm_up_seconds"])
    changeover["warm_up_seconds"] = 0


@spoils("A5")
def changeover_shorter_than_its_pieces(s: Spoilt) -> None:
    changeover = s.run(lambda run: run["changeover"])["changeover"]
    changeover["start"] = later(changeover["start"], 60)


@spoils("A5")
def first_content_of_the_barrel_overlooked(s: Spoilt) -> None:
    run = s.run(lambda run: run["changeover"])
    resin = run["melts"][0].split("/")[0]
    s.campaign["colours"]["leftover"] = {}
    s.campaign["presses"][run["press"]]["barrels"][0]["holds"] = f"{resin}/leftover"


@spoils("A5")
def hot_runner_cleared_in_other_shots(s: Spoilt) -> None:
    """One shot more through the tool than the kilograms make, and no second for it."""
    for purge in s.changed("hot runner")["changeover"]["purges"]:
        if purge["where"] == "hot runner":
            purge["shots"] += 5
            purge["seconds"] += 7


@spoils("A6")
def forbidden_resin_left_in_the_barrel(s: Spoilt) -> None:
    run = s.run()
    resin = run["melts"][0].split("/")[0]
    s.campaign["resins"]["old-resin"] = {"family": "other"}
    s.campaign["forbidden_pairs"].append({"one": "old-resin", "other": resin})
    s.campaign["presses"][run["press"]]["barrels"][0]["holds"] = f"old-resin/{run['melts'][0].split('/')[1]}"


@spoils("A6")
def pom_and_pvc_in_one_barrel(s: Spoilt) -> None:
    run = s.run()
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"][resin]["family"] = "PVC"
    s.campaign["resins"]["acetal"] = {"family": "POM"}
    s.campaign["presses"][run["press"]]["barrels"][0]["holds"] = f"acetal/{colour}"


@spoils("A6")
def pom_after_a_halogenated_flame_retardant(s: Spoilt) -> None:
    run = s.run()
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"][resin]["family"] = "POM"
    s.campaign["resins"]["fr-grade"] = {"family": "ABS", "halogenated_flame_retardant": True}
    s.campaign["presses"][run["press"]]["barrels"][0]["holds"] = f"fr-grade/{colour}"


@spoils("A6")
def acetal_after_a_resin_nobody_knows(s: Spoilt) -> None:
    """The barrel held a house blend without a family: it may have been PVC."""
    run = s.run()
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"][resin]["family"] = "Polyoxymethylene"
    s.campaign["resins"]["house-blend"] = {}
    s.campaign["presses"][run["press"]]["barrels"][0]["holds"] = f"house-blend/{colour}"


@spoils("A6")
def acetal_into_a_press_where_nobody_says_what_others_mould(s: Spoilt) -> None:
    run = s.run()
    s.campaign["resins"][run["melts"][0].split("/")[0]]["family"] = "acetal"
    s.campaign["presses"][run["press"]]["others"] = [{"whenever_closed": True}]


@spoils("A4")
def run_that_goes_on_after_others_worked_on_its_press(s: Spoilt) -> None:
    run = s.run(lambda run: len(run["stretches"]) > 1)
    s.campaign["presses"][run["press"]]["others"] = [{"whenever_closed": True}]


@spoils("A6")
def acetal_into_a_barrel_of_which_nobody_says_what_it_holds(s: Spoilt) -> None:
    run = s.run()
    s.campaign["resins"][run["melts"][0].split("/")[0]]["family"] = "acetal"
    barrel = s.campaign["presses"][run["press"]]["barrels"][0]
    barrel.pop("holds", None)
    barrel.pop("clean", None)


@spoils("A6")
def acetal_into_a_hot_runner_of_which_nobody_says_what_it_held(s: Spoilt) -> None:
    run = s.run(lambda run: any(s.tool(run).get("hot_runner_kg", [])))
    s.tool(run).pop("hot_runner_has_held", None)
    s.tool(run).pop("hot_runner_clean", None)
    for melt in run["melts"]:
        s.campaign["resins"][melt.split("/")[0]]["family"] = "acetal"


@spoils("A6")
def vinyl_through_a_hot_runner_that_held_acetal_on_a_trial(s: Spoilt) -> None:
    run = s.run(lambda run: any(s.tool(run).get("hot_runner_kg", [])))
    s.campaign["resins"]["trial"] = {"family": "Polyacetal"}
    for melt in run["melts"]:
        s.campaign["resins"][melt.split("/")[0]]["family"] = "PVC-U"
    s.tool(run)["hot_runner_has_held"] = ["trial"]


@spoils("A6")
def vinyl_where_acetal_was_once(s: Spoilt) -> None:
    """Something else was moulded in between: that does not make it safe."""
    run = s.run()
    resin = run["melts"][0].split("/")[0]
    s.campaign["resins"][resin]["family"] = "rigid vinyl"
    s.campaign["resins"]["poly-acetal"] = {}
    s.campaign["presses"][run["press"]]["barrels"][0]["has_held"] = ["poly-acetal"]


@spoils("A6")
def compound_through_acetal_though_nobody_says_that_it_is_fit(s: Spoilt) -> None:
    purge = next(purge for purge in s.changed()["changeover"]["purges"] if purge["kg"] > 0)
    purge["compound_kg"] = purge["kg"]
    s.campaign["resins"][purge["to"].split("/")[0]]["family"] = "POM-H"
    s.campaign["purging"]["compound"] = {"price_per_kg": 3, "lead_days": 1, "use": "never", "soak_minutes": 1}


@spoils("A6")
def masterbatch_carried_by_pvc_in_acetal(s: Spoilt) -> None:
    run = s.run()
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"][resin] |= {"family": "POM", "natural_colour": None}
    s.campaign["colours"]["vinyl-grey"] = s.campaign["colours"][colour]
    run["melts"][0] = f"{resin}/vinyl-grey"


@spoils("A6")
def forbidden_pair_in_one_dryer(s: Spoilt) -> None:
    resins = sorted({melt.split("/")[0] for run in s.plan["runs"] for melt in run["melts"]})
    if len(resins) < 2:
        raise NoPlace
    for resin in resins[:2]:
        s.campaign["resins"][resin]["dryer"] = "hopper"
    s.campaign["forbidden_pairs"].append({"one": resins[0], "other": resins[1]})


@spoils("A5")
def changeover_though_the_press_is_set_up_so(s: Spoilt) -> None:
    """The last run goes on in a second one, which is given a changeover of its own."""
    run = max((run for run in s.plan["runs"] if run["changeover"]), key=lambda run: run["end"])
    again = copy.deepcopy(run)
    length = int(seconds_between(begin(run), run["end"]))
    move(again, length)
    again["id"] = run["id"] + "-again"
    s.plan["runs"].append(again)


@spoils("A5")
def estimate_passed_off_as_given(s: Spoilt) -> None:
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["basis"] == "estimated" and purge["where"] == "barrel":
                purge["basis"] = "given"
                return
    raise NoPlace


@spoils("A5")
def hot_runner_passed_off_as_measured(s: Spoilt) -> None:
    _purge(s.changed("hot runner"), "hot runner")["basis"] = "measured"


@spoils("A5")
def nothing_estimated_where_the_colour_changes(s: Spoilt) -> None:
    """Shots, seconds and moments all agree with the nothing that is purged."""
    for run in s.plan["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["basis"] == "estimated" and purge["where"] == "barrel" and purge["kg"] > 0:
                run["changeover"]["start"] = later(run["changeover"]["start"], purge["seconds"])
                purge |= {"kg": 0, "kg_p10": 0, "shots": 0, "seconds": 0, "cost": 0}
                return
    raise NoPlace


@spoils("A5")
def others_told_where_nobody_else_was(s: Spoilt) -> None:
    change = s.changed()["changeover"]
    change["after_others"] = {"since": change["start"], "until": change["start"], "left": ["pp/sage"]}


@spoils("A5")
def others_told_to_come_who_do_not(s: Spoilt) -> None:
    run = s.run()
    run["others_from"] = run["end"]


@spoils("A5")
def hot_runner_full_of_what_stands_less_than_what_comes(s: Spoilt) -> None:
    run = s.run(lambda run: any(s.tool(run).get("hot_runner_kg", [])))
    resin, colour = run["melts"][0].split("/")
    s.campaign["resins"][resin]["melt_c"] = [260, 280]
    s.campaign["resins"]["trial"] = {"family": "Polyacetal"}
    s.tool(run).update(hot_runner_clean=False, hot_runner_holds=[f"trial/{colour}"])


@spoils("A5")
def hot_runner_of_which_nobody_says_what_it_stands(s: Spoilt) -> None:
    run = s.run(lambda run: any(s.tool(run).get("hot_runner_kg", [])))
    s.campaign["resins"][run["melts"][0].split("/")[0]]["melt_c"] = [260, 280]
    s.tool(run)["hot_runner_clean"] = False
