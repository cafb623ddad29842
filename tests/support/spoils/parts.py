"""Spoils of how many parts are made and counted on (A7)."""

import copy

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, spoils


@spoils("A7")
def too_few_shots_to_be_sure(s: Spoilt) -> None:
    run = s.run(lambda run: run["shots"] > 1)
    run["shots"] -= 1
    run["stretches"][-1]["shots"] -= 1
    run["end"] = run["stretches"][-1]["end"] = later(run["end"], -int(run["shot_seconds"]))


@spoils("A7")
def more_shots_than_anybody_asked_for(s: Spoilt) -> None:
    run = s.run()
    run["shots"] += 50
    run["stretches"][-1]["shots"] += 50
    run["end"] = run["stretches"][-1]["end"] = later(run["end"], int(50 * run["shot_seconds"]))


@spoils("A7")
def orders_larger_than_what_is_moulded(s: Spoilt) -> None:
    s.campaign["orders"][0]["count"] += 50


@spoils("A7")
def spares_forgotten(s: Spoilt) -> None:
    s.campaign["parts"][s.plan["balance"][0]["part"]]["spare_share"] = 0.5


@spoils("A7")
def stock_that_is_not_there(s: Spoilt) -> None:
    line = first(s.plan["balance"], lambda line: line["to_mould"] > 1)
    line["stock"] += 1
    line["to_mould"] -= 1


@spoils("A7")
def higher_confidence_asked_for(s: Spoilt) -> None:
    if all(tool["scrap_share"] == 0 for tool in s.campaign["tools"].values()):
        raise NoPlace
    s.campaign["confidence"] = 0.9999


@spoils("A7")
def confidence_overstated(s: Spoilt) -> None:
    first(s.plan["balance"], lambda line: line["confidence"] < 0.998)["confidence"] = 0.9995


@spoils("A7")
def surplus_hidden(s: Spoilt) -> None:
    first(s.plan["balance"], lambda line: line["surplus"] > 1)["surplus"] = 0


@spoils("A7")
def part_missing_from_the_balance(s: Spoilt) -> None:
    s.plan["balance"].pop()


@spoils("A7")
def part_missing_from_a_run(s: Spoilt) -> None:
    s.run(lambda run: run["parts"])["parts"].pop()


@spoils("A7")
def more_good_parts_counted_on(s: Spoilt) -> None:
    s.run(lambda run: run["parts"])["parts"][0]["good"] += 10


@spoils("A7")
def cavity_blocked_and_not_made_up_for(s: Spoilt) -> None:
    for run in s.plan["runs"]:
        for part, count in s.tool(run)["cavities"].items():
            if count > 1 + s.tool(run)["blocked_cavities"].get(part, 0):
                s.tool(run)["blocked_cavities"][part] = s.tool(run)["blocked_cavities"].get(part, 0) + 1
                return
    raise NoPlace


@spoils("A7")
def run_split_where_the_tool_forbids_it(s: Spoilt) -> None:
    run = s.run(lambda run: len(run["stretches"]) > 1 and s.tool(run)["smallest_lot_shots"] is None)
    rest = copy.deepcopy(run)
    rest["id"], rest["changeover"], rest["stretches"] = run["id"] + "-rest", None, run["stretches"][1:]
    run["stretches"] = run["stretches"][:1]
    run["shots"], run["end"] = run["stretches"][0]["shots"], run["stretches"][0]["end"]
    rest["shots"], rest["start"] = rest["shots"] - run["shots"], rest["stretches"][0]["start"]
    s.plan["runs"].append(rest)


@spoils("A7")
def item_said_twice_in_the_balance(s: Spoilt) -> None:
    s.plan["balance"].append(copy.deepcopy(s.plan["balance"][0]))


@spoils("A7")
def item_nobody_ordered_in_the_balance(s: Spoilt) -> None:
    s.campaign["colours"]["mauve"] = {}
    line = copy.deepcopy(s.plan["balance"][0])
    line["colours"] = ["mauve" for _ in line["colours"]]
    s.plan["balance"].append(line)


@spoils("A7")
def scrap_share_made_rosier(s: Spoilt) -> None:
    first(s.plan["balance"], lambda line: line["scrap_share"] > 0)["scrap_share"] /= 2


@spoils("A7")
def more_expected_than_the_shots_give(s: Spoilt) -> None:
    line = first(s.plan["balance"], lambda line: line["to_mould"] > 0)
    line["expected"] += 5


@spoils("A7")
def fewer_shots_said_to_suffice(s: Spoilt) -> None:
    first(s.plan["balance"], lambda line: line["counting_shots"] > 1)["counting_shots"] -= 1


@spoils("A7")
def one_tool_said_to_be_several(s: Spoilt) -> None:
    """Its figures stand tool by tool, though there is one."""
    line = first(s.plan["balance"], lambda line: line["counting_shots"] > 0 and not line["made_with"])
    run = s.run(
        lambda run: any((part["part"], part["colours"]) == (line["part"], line["colours"]) for part in run["parts"])
    )
    line["made_with"] = [
        {
            "tool": run["tool"],
            "shots": line["counting_shots"],
            "cavities": 1,
            "scrap_share": line["scrap_share"],
            "counted_on": 1,
        }
    ]


@spoils("A8")
def shots_said_to_be_moulded_over_what_they_do_not_take(s: Spoilt) -> None:
    run = s.run()
    part = run["parts"][0]
    run["takes"].append({"id": part["part"], "colours": part["colours"], "number": 1})
