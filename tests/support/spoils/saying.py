"""Spoils of what the plan says of itself: what runs waited for (A3), who waits if an order is late (A11), the order of
service (A8)."""

from tests.support.spoils.ways import NoPlace, Spoilt, first, later, spoils


@spoils("A3")
def run_said_to_wait_for_a_press_that_was_free(s: Spoilt) -> None:
    s.run(lambda run: run["waits_for"] == "press hours")["waits_for"] = ""


@spoils("A3")
def run_said_to_wait_for_a_tool_long_ready(s: Spoilt) -> None:
    run = s.run(lambda run: s.tool(run)["ready"])
    run["waits_for"] = f"tool {run['tool']}, ready {s.tool(run)['ready']}"


@spoils("A3")
def run_said_to_wait_for_a_tool_nobody_had(s: Spoilt) -> None:
    s.plan["runs"][0]["waits_for"] = f"tool {s.plan['runs'][0]['tool']}, on another press until then"


@spoils("A3")
def run_said_to_wait_for_an_idle_setter(s: Spoilt) -> None:
    s.plan["runs"][0]["waits_for"] = "a setter"


@spoils("A3")
def run_said_to_wait_for_material_in_stock(s: Spoilt) -> None:
    s.run(lambda run: run["waits_for"] == "press hours")["waits_for"] = "material"


@spoils("A3")
def run_said_to_wait_on_purpose_for_another_moment(s: Spoilt) -> None:
    run = s.run(lambda run: run["waits_for"] == "press hours")
    run["not_before"] = later(run["start"], 7 * 86400)


@spoils("A3")
def run_said_to_wait_on_purpose_while_its_press_goes_on(s: Spoilt) -> None:
    """It begins when it is said to, but that is no opening."""
    ends = {run["end"] for run in s.plan["runs"]}
    run = s.run(lambda run: (run["changeover"] or run)["start"] in ends and run["waits_for"] == "")
    run["not_before"] = (run["changeover"] or run)["start"]


@spoils("A11")
def somebody_else_waits_if_resin_is_late(s: Spoilt) -> None:
    line = first(s.plan["materials"], lambda line: line["bought_kg"] and line["if_late"])
    line["if_late"] = "Run r9 (Wed 13 Jan 2027 08:00) must wait until it is there."


@spoils("A11")
def nobody_waits_though_pieces_are_short(s: Spoilt) -> None:
    line = first(s.plan["pieces"], lambda line: line["bought"] and line["if_late"])
    line["if_late"] = "Nothing waits for an order: stock and agreed deliveries cover it."


@spoils("A8")
def two_batches_served_at_once(s: Spoilt) -> None:
    batches = [batch for batch in s.plan["batches"] if batch["served"]]
    if len(batches) < 2:
        raise NoPlace
    batches[1]["served"] = batches[0]["served"]


@spoils("A8")
def parts_taken_before_their_turn(s: Spoilt) -> None:
    """The last batch is said to be served first: its shells would have been there only later."""
    count = len(s.plan["batches"])
    if count < 2 or not s.plan["batches"][0]["served"]:
        raise NoPlace
    for batch in s.plan["batches"]:
        batch["served"] = count + 1 - batch["served"]


@spoils("A8")
def pieces_taken_before_their_turn(s: Spoilt) -> None:
    """Cartons there are for those served first go to those served last, and no more can be bought."""
    if not any(batch["served"] for batch in s.plan["batches"]):
        raise NoPlace
    last = max(s.plan["batches"], key=lambda batch: batch["start"])
    for batch in s.plan["batches"]:
        batch["served"] += 1
    last["served"] = 1
    for place, batch in enumerate(sorted(s.plan["batches"], key=lambda batch: batch["served"]), start=1):
        batch["served"] = place
    for piece in s.campaign["pieces"].values():
        if piece["arrivals"]:
            piece["arrivals"][-1]["on"] = last["start"][:10]
