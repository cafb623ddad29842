"""A1: a run's tool fits its press: allowed there, clamp force, barrels, shot within each barrel's window.

Also that the melts are what the tool's parts are made of, and that what the maker has fixed comes first.
"""

from itertools import groupby

from planner.audit.case import Case, Work
from planner.audit.findings import Findings
from planner.audit.places import at_two_places
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A1 for every run."""
    notes = Findings("A1")
    for text in case.unreadable:
        notes.fault(text)
    ids = [run.id for run in case.plan.runs]
    for name in sorted({name for name in ids if ids.count(name) > 1}):
        notes.fault(f"two runs are called {name}")
    for work in case.works:
        _fits(work, notes)
        _is_made_of(case, work, notes)
    for press in case.campaign.presses:
        _begins_as_fixed(case, press, notes)
    _stands_where_said(case, notes)
    return notes.verdict(case.moulding_due, "moulded parts")


def _stands_where_said(case: Case, notes: Findings) -> None:
    """Each tool at one place, and at the one the plan says, by the moment its first run there begins."""
    for text in at_two_places(case.as_given, case.plan):
        notes.fault(text)
    begins: dict[str, Work] = {}
    for work in case.works:
        begins.setdefault(work.run.tool, work)
    for line in case.plan.tools_at:
        first = begins.get(line.tool)
        if first is None:
            notes.expect(line.by is None, f"tool `{line.tool}` makes nothing, and is said to be needed")
            continue
        notes.expect(
            line.place == first.press.place and line.by is not None and case.clock.second(line.by) == first.begin,
            f"tool `{line.tool}` is said to be at {line.place or 'our own floor'} from {line.by}; {first} is its first",
        )


def _fits(work: Work, notes: Findings) -> None:
    tool, press = work.tool, work.press
    notes.expect(work.run.press in tool.presses, f"{work}: the tool may not run on this press")
    notes.expect(
        tool.clamp_kn <= press.clamp_kn,
        f"{work}: the tool asks for {tool.clamp_kn:g} kN, the press closes with {press.clamp_kn:g} kN",
    )
    if not notes.expect(
        work.barrels <= len(press.barrels),
        f"{work}: the tool uses {work.barrels} barrels, the press has {len(press.barrels)}",
    ):
        return
    for number, (grams, barrel) in enumerate(zip(work.shot_g, press.barrels, strict=False), start=1):
        notes.expect(
            barrel.shot_min_g <= grams <= barrel.shot_max_g,
            f"{work}: a shot takes {float(grams):g} g from barrel {number}, "
            f"which meters {barrel.shot_min_g:g} to {barrel.shot_max_g:g} g",
        )


def _is_made_of(case: Case, work: Work, notes: Findings) -> None:
    for part in work.tool.cavities:
        asked = [barrel.resin for barrel in case.campaign.parts[part].barrels]
        given = [resin for resin, _ in work.melts[: len(asked)]]
        notes.expect(
            asked == given, f"{work}: `{part}` is made of {' and '.join(asked)}, the run moulds {' and '.join(given)}"
        )


def _begins_as_fixed(case: Case, press: str, notes: Findings) -> None:
    """The runs the maker has begun or pinned are the first on the press, in their order, with the shots fixed there."""
    _shots_fixed(case, press, notes)
    fixed = [
        (pin.tool, tuple(pin.colours))
        for pin in case.campaign.presses[press].begins_with
        if _asked_for(case, pin.tool, tuple(pin.colours))
    ]
    fixed = [pin for pin, _ in groupby(fixed)]
    planned = [(work.run.tool, work.colours) for work in case.by_press.get(press, [])]
    planned = [pin for pin, _ in groupby(planned)]
    for place, pin in enumerate(fixed):
        there = planned[place] if place < len(planned) else None
        notes.expect(
            there == pin,
            f"press `{press}`: place {place + 1} is fixed for `{pin[0]}` in {' and '.join(pin[1])}, the plan has "
            + (f"`{there[0]}` in {' and '.join(there[1])}" if there else "nothing"),
        )


def _shots_fixed(case: Case, press: str, notes: Findings) -> None:
    for pin in case.campaign.presses[press].begins_with:
        key = pin.tool, tuple(pin.colours)
        alike = [work for work in case.works if (work.run.tool, work.colours) == key]
        asked = sum(work.run.shots for work in alike)
        if pin.shots is not None:
            asked = min(asked, pin.shots)
        here = sum(work.run.shots for work in alike if work.run.press == press)
        notes.expect(
            here >= asked,
            f"press `{press}`: {asked} shots of `{pin.tool}` in {' and '.join(pin.colours)} are fixed here, the plan "
            f"runs {here} of them",
        )


def _asked_for(case: Case, tool: str, colours: tuple[str, ...]) -> bool:
    return any(
        need.to_mould and part in case.campaign.tools[tool].cavities and asked == colours[: len(asked)]
        for (part, asked), need in case.needs.items()
    )
