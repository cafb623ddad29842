"""What moulders charge for a plan beside the hour, line by line (RULES.md, M6)."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import datetime
from math import fsum
from typing import NamedTuple

from planner.campaign import Campaign
from planner.campaign.presses import Charges
from planner.plan.cash import sunday
from planner.plan.document import CashDue, CostLine
from planner.plan.money import stayed_for
from planner.plan.runs import RunUse
from planner.plan.wishes import begins
from planner.schedule.encode import Names
from planner.schedule.encode.charges import (
    CHANGEOVER_LINES,
    ChangeoverWork,
    changeover_charge,
    shot_price,
    working_cost,
)
from planner.schedule.instance import Instance


class Charged(NamedTuple):
    """What a press is charged beside its hours, and the end of its last run."""

    changeovers: dict[str, float]
    shifts: float
    pieces: float
    least: float
    until: datetime


def charged(inst: Instance, names: Names, uses: list[RunUse]) -> dict[str, Charged]:
    """Press -> what it is charged, where it has a price list and a run."""
    campaign = names.campaign
    by_press: dict[str, list[RunUse]] = defaultdict(list)
    for use in sorted(uses, key=lambda use: begins(use.run)):
        if campaign.presses[use.run.press].charges is not None:
            by_press[use.run.press].append(use)
    return {
        press: Charged(
            {line: fsum(_changing(campaign, use, price) for use in mine) for line, price in CHANGEOVER_LINES.items()},
            _shifts(inst, names, press, mine),
            fsum(_pieces(campaign, use) for use in mine),
            _short(campaign, press, mine),
            mine[-1].run.end,
        )
        for press, mine in by_press.items()
    }


def charge_lines(campaign: Campaign, uses: list[RunUse], paid: Mapping[str, Charged]) -> list[tuple[str, float]]:
    """Cost lines for energy and for each kind of charge; none of what the campaign has none of."""
    lines = []
    if campaign.floor.price_per_kwh and any(press.draws_kw for press in campaign.presses.values()):
        kwh = fsum(use.press_seconds * campaign.presses[use.run.press].draws_kw / 3600 for use in uses)
        lines.append(("energy", kwh * campaign.floor.price_per_kwh))
    if any(press.charges for press in campaign.presses.values()):
        lines += [
            *((line, fsum(one.changeovers[line] for one in paid.values())) for line in CHANGEOVER_LINES),
            ("shift charges", fsum(one.shifts for one in paid.values())),
            ("piece prices", fsum(one.pieces for one in paid.values())),
            ("least a run", fsum(one.least for one in paid.values())),
        ]
    return lines


def with_charges(costs: list[CostLine], lines: list[tuple[str, float]]) -> list[CostLine]:
    """Cost lines with those of energy and charges behind the press hours."""
    more = [CostLine.model_validate({"what": what, "amount": amount}) for what, amount in lines]
    return [*costs[:1], *more, *costs[1:]]


def charges_due(paid: Mapping[str, Charged]) -> list[CashDue]:
    """What each press is charged, on the Sunday of the week in which its last run ends."""
    return [
        CashDue(on=sunday(one.until), what="work", of=f"charges of press {press}", amount=money)
        for press, one in paid.items()
        if (money := fsum((*one.changeovers.values(), one.shifts, one.pieces, one.least))) > 0
    ]


def _changing(campaign: Campaign, use: RunUse, price: Callable[[Charges, ChangeoverWork], float]) -> float:
    """Money charged for a run's changeover."""
    charges, change = campaign.presses[use.run.press].charges, use.run.changeover
    if charges is None or change is None:
        return 0.0
    return price(charges, ChangeoverWork(bool(change.purges), change.from_tool != use.run.tool))


def _pieces(campaign: Campaign, use: RunUse) -> float:
    return use.run.shots * shot_price(campaign, use.run.press, use.run.tool)


def _short(campaign: Campaign, press: str, uses: list[RunUse]) -> float:
    """Money that runs fall short of the least; runs without a changeover go on one bill with the run before."""
    charges = campaign.presses[press].charges
    assert charges is not None
    bills: list[float] = []
    for use in uses:
        if use.run.changeover is not None or not bills:
            bills.append(0.0)
        bills[-1] += use.press_seconds * working_cost(campaign, press) / 3600 + stayed_for(campaign, use)
        bills[-1] += _changing(campaign, use, changeover_charge) + _pieces(campaign, use)
    return fsum(max(0.0, charges.least_a_run - bill) for bill in bills)


def _shifts(inst: Instance, names: Names, press: str, uses: list[RunUse]) -> float:
    """Money for each shift, counted from an opening, in which anything is worked."""
    charges = names.campaign.presses[press].charges
    assert charges is not None
    p = names.presses.index(press)
    length = int(inst.shift_s[p])
    begun = set()
    for use in uses:
        change = use.run.changeover
        spans = [(change.start, change.end)] if change else []
        for start, end in [*spans, *((s.start, s.end) for s in use.run.stretches)]:
            first, last = names.clock.seconds(start), names.clock.seconds(end)
            opens = max(int(at) for at in inst.open_start[inst.open_ptr[p] : inst.open_ptr[p + 1]] if at <= first)
            begun |= {(opens, n) for n in range((first - opens) // length, (last - 1 - opens) // length + 1)}
    return len(begun) * charges.shift
