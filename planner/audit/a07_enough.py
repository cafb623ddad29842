"""A7: P(good >= needed) >= confidence for every item; surplus shown."""

from collections import Counter, defaultdict
from fractions import Fraction

from planner.audit.case import Case, Work, open_cavities
from planner.audit.chance import SLACK, chance, law_of
from planner.audit.counted import counted_on, counted_with
from planner.audit.figures import exact, same
from planner.audit.findings import Findings
from planner.audit.needs import Item, Need, spoilt
from planner.audit.others import left_between
from planner.audit.shared import counts_with, is_shared, shots_with, spare_shot, surely
from planner.plan.document import Balance, RuleVerdict

END = 10**12
"""A second after everything."""


def check(case: Case) -> RuleVerdict:
    """A7: needs exploded anew, chances summed anew, every line of the parts balance compared."""
    notes = Findings("A7")
    lines = Counter((line.part, tuple(line.colours)) for line in case.plan.balance)
    balance = {(line.part, tuple(line.colours)): line for line in case.plan.balance}
    for item, times in lines.items():
        notes.expect(times == 1, f"{named(item)} stands in the parts balance {times} times")
        if item not in case.needs and item not in case.by_item:
            notes.fault(f"{named(item)} stands in the parts balance, but is neither ordered nor moulded")
    due = {item: need for item, need in case.needs.items() if need.ordered or need.taken or item in case.by_item}
    due |= {item: Need(0, 0, 0) for item in case.by_item if item not in case.needs}
    for item, need in due.items():
        _enough(case, item, need, notes)
        if notes.expect(item in balance, f"{named(item)} is missing from the parts balance"):
            _line(case, item, need, balance[item], notes)
    for tool, works in _demands(case).items():
        _shots_of_demand(case, tool, works, notes)
    for work in case.works:
        _parts_of_run(case, work, notes)
    return notes.verdict(True, "parts for the orders")


def named(item: Item) -> str:
    """The item in the maker's words."""
    return f"`{item[0]}` in {' and '.join(item[1])}"


def _chance(case: Case, item: Item, need: Need) -> tuple[int, float]:
    """(shots in the plan, chance that they give what is to be moulded)."""
    if is_shared(case, item[0]):
        by_tool = shots_with(case, item)
        return sum(by_tool.values()), surely(case, item, by_tool)
    tool, shots = case.tool_of(item[0]), sum(work.run.shots for work in case.by_item.get(item, []))
    cavities = open_cavities(tool, item[0]) if tool else 0
    law, scrap = (law_of(case.campaign, tool), tool.scrap_share) if tool else (None, 0.0)
    spoils = spoilt(case.campaign, item[0])
    return shots, chance(law, shots * cavities, need.to_mould + need.tests, scrap, spoils)


def _enough(case: Case, item: Item, need: Need, notes: Findings) -> None:
    shots, sure = _chance(case, item, need)
    over = "over what its scrap may be" if case.campaign.scrap_taken == "unsure" else "its scrap being known"
    notes.expect(
        sure >= case.campaign.confidence - SLACK,
        f"{named(item)}: {shots} shots give the {need.to_mould + need.tests} good parts to be moulded "
        f"with a chance of {sure:.4f} {over}, {case.campaign.confidence:g} is asked for",
    )


def _line(case: Case, item: Item, need: Need, line: Balance, notes: Findings) -> None:
    """Every figure of one line of the parts balance."""
    shots, sure = _chance(case, item, need)
    spoils = spoilt(case.campaign, item[0])
    alone = case.shots_alone(item)
    if is_shared(case, item[0]) and item in case.by_item:
        cavities, good = 0, Fraction(0)
        moulded, counts = 0, counts_with(case, item)
        for name, n in shots_with(case, item).items():
            tool = case.campaign.tools[name]
            moulded += n * open_cavities(tool, item[0])
            good += n * open_cavities(tool, item[0]) * (1 - exact(tool.scrap_share))
        scrap = float(1 - good / moulded)
        expected = float(good * (1 - spoils))
        alone = sum(n for name, n in shots_with(case, item).items() if counts[name])
        _tool_by_tool(case, item, line, notes)
    else:
        one = case.tool_of(item[0])
        cavities, scrap = (open_cavities(one, item[0]), one.scrap_share) if one else (0, 0.0)
        expected = float(shots * cavities * (1 - exact(scrap)) * (1 - spoils))
        notes.expect(not line.made_with, f"{named(item)} is made by one tool, the parts balance tells several")
    counted = sum(
        part.good
        for work in case.by_item.get(item, [])
        for part in work.run.parts
        if (part.part, tuple(part.colours)) == item
    )
    for what, told, ours in (
        ("ordered", line.ordered, need.ordered),
        ("spares", line.spares, need.spares),
        ("in stock", line.stock, need.stock),
        ("to be moulded", line.to_mould, need.to_mould),
        ("for tests", line.tests, need.tests),
        ("for moulds", line.at_the_shot, need.taken),
        ("shots", line.shots, shots),
        ("cavities", line.cavities, cavities),
        ("counted on", line.counted_on, counted_on(case, item, END)),
        ("counted on, run by run", line.counted_on, counted),
        ("shots it alone asks for", line.counting_shots, alone),
    ):
        notes.expect(told == ours, f"{named(item)}: {what}: {ours}, the parts balance says {told}")
    notes.expect(
        same(line.finishing_scrap, float(spoils), 1e-9),
        f"{named(item)}: finishing spoils {float(spoils):g} of it, not {line.finishing_scrap:g}",
    )
    notes.expect(
        same(line.scrap_share, scrap, 1e-9), f"{named(item)}: scrap share is {scrap:g}, not {line.scrap_share:g}"
    )
    notes.expect(
        same(line.expected, expected, 0.006), f"{named(item)}: {expected:.2f} good expected, not {line.expected:g}"
    )
    notes.expect(
        same(line.surplus, expected - need.to_mould - need.tests, 0.006),
        f"{named(item)}: surplus is {expected - need.to_mould - need.tests:.2f}, the plan shows {line.surplus:g}",
    )
    notes.expect(
        abs(line.confidence - sure) <= 1e-4,
        f"{named(item)}: the chance of enough is {sure:.4f}, the plan says {line.confidence:.4f}",
    )


def _tool_by_tool(case: Case, item: Item, line: Balance, notes: Findings) -> None:
    """What the parts balance tells of each of several tools."""
    counts = counts_with(case, item)
    ours = [
        (name, n, open_cavities(tool, item[0]), tool.scrap_share, counts[name])
        for name, n in shots_with(case, item).items()
        for tool in (case.campaign.tools[name],)
    ]
    told = [(one.tool, one.shots, one.cavities, one.scrap_share, one.counted_on) for one in line.made_with]
    notes.expect(
        sorted(told) == sorted(ours),
        f"{named(item)}: made with (tool, shots, cavities, scrap, good parts counted on) {ours}, the plan says {told}",
    )


def _demands(case: Case) -> dict[tuple[str, tuple[str, ...]], list[Work]]:
    found: dict[tuple[str, tuple[str, ...]], list[Work]] = defaultdict(list)
    for work in case.works:
        found[work.run.tool, work.colours].append(work)
    return found


def _lots(case: Case, works: list[Work]) -> list[int]:
    """Shots of each lot of a demand: runs that only others' work on the press keeps apart are one lot."""
    lots: dict[str, int] = {}
    lot_of: dict[str, str] = {}
    for work in works:
        press = work.run.press
        there = case.by_press[press]
        place = there.index(work)
        before = there[place - 1].run.id if place else ""
        joined = before in lot_of and left_between(case.theirs[press], there[place - 1].end, work.begin, 1) is not None
        lot = lot_of[before] if joined else work.run.id
        lot_of[work.run.id] = lot
        lots[lot] = lots.get(lot, 0) + work.run.shots
    return list(lots.values())


def _shots_of_demand(case: Case, tool: tuple[str, tuple[str, ...]], works: list[Work], notes: Findings) -> None:
    """A run demand is no more than its neediest item asks for, in lots no smaller than the tool allows."""
    shots = sum(work.run.shots for work in works)
    if is_shared(case, next(iter(works[0].tool.cavities))):
        _none_to_spare(case, tool, works, notes)
        return
    asked = max((case.shots_alone(item) for item in case.items_of(works[0])), default=0)
    notes.expect(shots <= asked, f"{_what(tool)}: {asked} shots are asked for, the plan runs {shots}")
    _lots_allowed(case, tool, works, notes)


def _what(demand: tuple[str, tuple[str, ...]]) -> str:
    return f"`{demand[0]}` in {' and '.join(demand[1])}"


def _none_to_spare(case: Case, demand: tuple[str, tuple[str, ...]], works: list[Work], notes: Findings) -> None:
    """None of several tools makes a shot that is not needed beside the others', nor less than its smallest lot."""
    shots, smallest = sum(work.run.shots for work in works), works[0].tool.smallest_lot_shots or 1
    begun = any(run.tool == demand[0] for press in case.campaign.presses.values() for run in press.begins_with)
    notes.expect(
        shots >= smallest, f"{_what(demand)}: {shots} shots are made, fewer than its smallest lot of {smallest}"
    )
    notes.expect(
        begun or not spare_shot(case, case.items_of(works[0]), demand[0], smallest, SLACK),
        f"{_what(demand)}: beside what the other tools make a shot fewer than {shots} would be enough",
    )
    _lots_allowed(case, demand, works, notes)


def _lots_allowed(case: Case, demand: tuple[str, tuple[str, ...]], works: list[Work], notes: Findings) -> None:
    """No lot is below the smallest, and what is never split is one."""
    what = _what(demand)
    lots = _lots(case, works)
    if len(lots) > 1:
        smallest = works[0].tool.smallest_lot_shots
        notes.expect(
            smallest is not None and all(lot >= smallest for lot in lots),
            f"{what} is split into lots of {', '.join(map(str, lots))} shots; "
            + ("the tool's runs are never split" if smallest is None else f"no lot may be below {smallest}"),
        )


def _parts_of_run(case: Case, work: Work, notes: Findings) -> None:
    """A run shows every part its shots make, with the good ones the plan counts on."""
    told = Counter((part.part, tuple(part.colours)) for part in work.run.parts)
    made = Counter(case.items_of(work))
    if not notes.expect(
        told == made,
        f"{work}: makes {', '.join(named(item) for item in made)}; the plan shows "
        f"{', '.join(named(item) for item in told) or 'nothing'}",
    ):
        return
    for part in work.run.parts:
        item = part.part, tuple(part.colours)
        before, upto = counted_on(case, item, work.begin), counted_on(case, item, work.end)
        beside = case.by_item[item]
        if is_shared(case, item[0]):
            beside = [other for other in beside if other.run.tool == work.run.tool]
            before, upto = (counted_with(case, item, work.run.tool, at) for at in (work.begin, work.end))
        alone = sum(other.begin < work.end and work.begin < other.end for other in beside) == 1
        if alone:  # lots side by side on two presses: only their sum is fixed
            notes.expect(
                part.good == upto - before,
                f"{work}: {upto - before} good parts of {named(item)} count from it, the plan says {part.good}",
            )
