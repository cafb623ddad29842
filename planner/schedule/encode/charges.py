"""What moulders charge beside the hour, and bases with changeable inserts, as arrays of an Instance."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from planner.campaign import Campaign
from planner.campaign.presses import Charges
from planner.demand.items import RunDemand, open_cavities
from planner.schedule.encode.arrays import ints, whole_seconds
from planner.schedule.instance import Floats, Instance


class ChangeoverWork(NamedTuple):
    """What a changeover does, as far as anything is charged for it: purge anything, mount a tool."""

    purges: bool
    mounts: bool


CHANGEOVER_LINES: dict[str, Callable[[Charges, ChangeoverWork], float]] = {
    "changeover charges": lambda asked, work: asked.changeover + (asked.colour_change if work.purges else 0.0),
}
"""Cost line -> money for a changeover. Whoever adds one needs it here, in `Charges`, in `CostLine`, in the auditor's
`CHANGEOVER_LINES`, in RULES.md, and in a test: search, bounds and plans follow."""


def changeover_charge(asked: Charges, work: ChangeoverWork) -> float:
    """Money for a changeover, all lines together."""
    return sum(line(asked, work) for line in CHANGEOVER_LINES.values())


def working_cost(campaign: Campaign, press: str) -> float:
    """Money for a working hour of a press, its energy included."""
    machine = campaign.presses[press]
    return machine.rate_per_hour + machine.draws_kw * campaign.floor.price_per_kwh


def shot_price(campaign: Campaign, press: str, tool: str) -> float:
    """Money charged for the pieces of one shot."""
    charges = campaign.presses[press].charges
    if charges is None:
        return 0.0
    return sum(
        open_cavities(campaign, tool, part) * charges.a_piece.get(part, 0.0) for part in campaign.tools[tool].cavities
    )


def least_shot_price(campaign: Campaign, tool: str) -> float:
    """The same on whichever of the tool's presses charges least: no order of work changes that."""
    return min(shot_price(campaign, press, tool) for press in campaign.tools[tool].presses)


def pieces_at_least(campaign: Campaign, runs: Sequence[RunDemand]) -> float:
    """Money that all shots come to at that price."""
    return sum(run.shots * least_shot_price(campaign, run.tool) for run in runs)


def with_charges(inst: Instance, campaign: Campaign, presses: Sequence[str], runs: Sequence[RunDemand]) -> Instance:
    """The instance with what its presses' moulders charge."""
    if all(campaign.presses[press].charges is None for press in presses):
        return inst
    none = Charges()
    charges = [campaign.presses[press].charges or none for press in presses]

    def money(field: str) -> Floats:
        return np.array([getattr(one, field) for one in charges], dtype=np.float64)

    shot = [[shot_price(campaign, press, run.tool) for run in runs] for press in presses]
    return inst._replace(
        charging=1,
        changeover_charge=np.array(
            [
                [
                    [changeover_charge(one, ChangeoverWork(purges, mounts)) for mounts in (False, True)]
                    for purges in (False, True)
                ]
                for one in charges
            ]
        ),
        shift_s=ints(whole_seconds(one.shift_hours * 60) for one in charges),
        shift_charge=money("shift"),
        shot_charge=np.array(shot, dtype=np.float64).reshape(len(presses), len(runs)),
        shot_charge_least=np.array([least_shot_price(campaign, run.tool) for run in runs], dtype=np.float64),
        least_bill=money("least_a_run"),
    )


def with_bases(inst: Instance, campaign: Campaign, tools: Sequence[str]) -> Instance:
    """The instance in which tools of one base share it."""
    if all(campaign.tools[tool].base is None for tool in tools):
        return inst
    first: dict[str, int] = {}
    bases, minutes = [], []
    for n, name in enumerate(tools):
        tool = campaign.tools[name]
        bases.append(n if tool.base is None else first.setdefault(tool.base, n))
        minutes.append(tool.mount_minutes if tool.insert_minutes is None else tool.insert_minutes)
    return inst._replace(tool_base=ints(bases), insert_s=ints(whole_seconds(m) for m in minutes))
