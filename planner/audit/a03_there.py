"""A3: no run starts before its tool is ready and its material is there and dried.

Regrind is not counted on: a run must not wait for its own runners. What the plan says a run waited for must be so.
"""

from collections import defaultdict

from planner.audit import masses
from planner.audit.a03_drying import drying
from planner.audit.a03_wait_reasons import waits
from planner.audit.arrivals import drying_seconds
from planner.audit.case import Case, Work
from planner.audit.figures import KG
from planner.audit.findings import Findings
from planner.audit.masses import Material
from planner.audit.tool_steps import steps_of, wall
from planner.audit.trial_stock import in_stock
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A3 at the moment each changeover (or run without one) begins, in order of start."""
    notes = Findings("A3")
    bought_kg: dict[Material, float] = {(line.kind, line.id): line.bought_kg for line in case.plan.materials}
    taken: dict[Material, float] = defaultdict(float)
    for work in case.works:
        _tool_is_ready(case, work, notes)
        for material, kg in masses.at_start(case.campaign, work).items():
            wanted = taken[material] + kg
            here, order_is_here = there(case, material, work.begin)
            if order_is_here:
                here += bought_kg.get(material, 0.0)
            dried = " and dried" if drying_seconds(masses.bought(case.campaign, material)) else ""
            notes.expect(
                wanted <= here + KG,
                f"{work} begins {case.clock.say(work.begin)} when {wanted:.2f} kg of {material[0]} `{material[1]}` "
                f"must be there{dried}, but only {here:.2f} kg is",
            )
            taken[material] = wanted
        for material, kg in masses.later(case.campaign, work).items():
            taken[material] += kg
    waits(case, notes)
    _steps(case, notes)
    drying(case, notes)
    return notes.verdict(case.moulding_due, "runs")


def there(case: Case, material: Material, second: int) -> tuple[float, bool]:
    """(kg in stock or arrived and dried by that second, whether what is bought now would be too)."""
    entry = masses.bought(case.campaign, material)
    ready = second - drying_seconds(entry)
    arrived = sum(arrival.amount for arrival in entry.arrivals if case.clock.at(arrival.on) <= ready)
    order_is_here = entry.lead_days is not None and case.bought_arrives[entry.lead_days] <= ready
    return in_stock(case, material) + arrived, order_is_here


def _steps(case: Case, notes: Findings) -> None:
    """Every step left on a tool stands in the plan once, with the moments that the campaign's days give it."""
    ours = steps_of(case.campaign)
    told = [(line.tool, line.step) for line in case.plan.tool_steps]
    if not told and not ours:
        return
    notes.expect(sorted(told) == sorted(ours), f"{len(ours)} steps are left on tools, the plan lists {len(told)}")
    for line in case.plan.tool_steps:
        if (line.tool, line.step) not in ours:
            continue
        step = ours[line.tool, line.step]
        for word, said, when in (("begins", line.begin, step.begin), ("ends", line.end, step.end)):
            second = case.clock.at(wall(when))
            notes.expect(
                abs(case.clock.second(said) - second) <= 1,
                f"step `{line.step}` of tool `{line.tool}` {word} {case.clock.say(second)}, the plan says otherwise",
            )


def _tool_is_ready(case: Case, work: Work, notes: Findings) -> None:
    clock = case.clock
    notes.expect(
        work.begin >= case.start,
        f"{work} begins {clock.say(work.begin)}, before the campaign starts {clock.say(case.start)}",
    )
    day = case.ready[work.run.tool]
    if day is not None:
        ready = clock.at(day)
        notes.expect(
            work.begin >= ready,
            f"{work} begins {clock.say(work.begin)}, but the tool is ready {clock.say(ready)}",
        )
