"""Spoils of the dryers' loads (A3), of the cautions that are owed (A6), and of the aim (A12)."""

from typing import Any

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, spoils


def loads(s: Spoilt, least: int = 1) -> list[dict[str, Any]]:
    """The plan's loads, if there are so many."""
    if len(s.plan["drying"]) < least:
        raise NoPlace
    return s.plan["drying"]  # type: ignore[no-any-return]


@spoils("A3")
def load_left_out(s: Spoilt) -> None:
    loads(s).pop()


@spoils("A3")
def load_with_less_than_is_drawn(s: Spoilt) -> None:
    loads(s)[0]["kg"] -= 0.5


@spoils("A3")
def loads_in_the_wrong_order_of_size(s: Spoilt) -> None:
    """As much in all, but the first stretch runs dry."""
    one, other = loads(s, 2)[:2]
    if one["resin"] != other["resin"]:
        raise NoPlace
    one["kg"], other["kg"] = one["kg"] - 0.5, other["kg"] + 0.5


@spoils("A3")
def load_taken_out_before_it_is_dry(s: Spoilt) -> None:
    load = loads(s)[0]
    load["load_at"] = later(load["load_at"], 3600)


@spoils("A3")
def load_used_before_it_is_dry(s: Spoilt) -> None:
    load = loads(s)[0]
    load["load_at"], load["dry_at"] = later(load["load_at"], 3600), later(load["dry_at"], 3600)


@spoils("A3")
def two_loads_in_one_dryer_at_once(s: Spoilt) -> None:
    one, other = loads(s, 2)[:2]
    if one["dryer"] != other["dryer"]:
        raise NoPlace
    other["load_at"], other["dry_at"] = later(one["load_at"], -600), later(one["dry_at"], -600)


@spoils("A3")
def load_in_another_dryer(s: Spoilt) -> None:
    loads(s)[0]["dryer"] = "the other one"


@spoils("A3")
def load_of_a_resin_nobody_dries(s: Spoilt) -> None:
    loads(s)[0]["resin"] = "pp"


@spoils("A3")
def load_hotter_than_the_campaign_says(s: Spoilt) -> None:
    loads(s)[0]["degrees_c"] = 140.0


@spoils("A3")
def load_for_a_run_that_does_not_take_it(s: Spoilt) -> None:
    load = loads(s)[0]
    load["runs"] = [s.run(lambda run: f"{load['resin']}/" not in " ".join(run["melts"]))["id"]]


@spoils("A3")
def load_heavier_than_the_dryer_holds(s: Spoilt) -> None:
    load = loads(s)[0]
    s.campaign["resins"][load["resin"]]["dryer_kg"] = load["kg"] / 2


@spoils("A3")
def press_that_outruns_its_dryer(s: Spoilt) -> None:
    """It holds every load, but in as long as drying takes more than one is drawn."""
    load = loads(s)[0]
    mine = [other for other in loads(s) if other["resin"] == load["resin"]]
    holds = max(other["fill_kg"] or other["kg"] for other in mine)
    if sum(other["kg"] for other in mine) < holds + 0.5:
        raise NoPlace
    s.campaign["resins"][load["resin"]] |= {"dryer_kg": holds, "drying_hours": 9000.0}
    for other in mine:
        other["fill_kg"] = other["fill_kg"] or other["kg"]
        other["load_at"] = later(other["dry_at"], -9000 * 3600)


@spoils("A6")
def caution_about_tool_changes_left_out(s: Spoilt) -> None:
    first(s.plan["cautions"], lambda said: said["about"] == "tool change")
    s.plan["cautions"] = [said for said in s.plan["cautions"] if said["about"] != "tool change"]


@spoils("A6")
def caution_about_purging_left_out(s: Spoilt) -> None:
    first(s.plan["cautions"], lambda said: said["about"] == "purging")
    s.plan["cautions"] = [said for said in s.plan["cautions"] if said["about"] != "purging"]


@spoils("A6")
def caution_about_dried_resin_that_waits_left_out(s: Spoilt) -> None:
    load = loads(s)[0]
    load["waits_hours"] = 5.0
    about = f"dried {load['resin']}"
    s.plan["cautions"] = [said for said in s.plan["cautions"] if said["about"] != about]


@spoils("A6")
def caution_that_defers_to_nobody(s: Spoilt) -> None:
    said = first(s.plan["cautions"], lambda said: said["about"] == "purging")
    said["text"] = said["text"].partition(" Local codes")[0]


@spoils("A6")
def polystyrene_without_its_fumes(s: Spoilt) -> None:
    s.campaign["resins"]["pp"]["family"] = "PS"


@spoils("A6")
def vinyl_without_its_cautions(s: Spoilt) -> None:
    s.campaign["resins"]["pp"]["family"] = "PVC"


@spoils("A12")
def another_aim_than_the_campaigns(s: Spoilt) -> None:
    s.plan["outcome"]["aim"] = "waste"


@spoils("A12")
def aim_that_nothing_is_said_of(s: Spoilt) -> None:
    s.campaign.setdefault("planning", {})["aim"] = s.plan["outcome"]["aim"] = "soonest"


@spoils("A12")
def proven_and_not_called_so(s: Spoilt) -> None:
    if s.plan["outcome"]["status"] == "optimal":
        raise NoPlace
    s.plan["outcome"]["ended"] = "proven"
