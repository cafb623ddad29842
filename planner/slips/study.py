"""The slip table, cell by cell: a study holds the compiled campaign and its plan, and prices one slip at a time.

Cells do not depend on each other: whoever calls may spread them over as many processes as there are.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.campaign import Campaign
from planner.control import Control, Unhurried
from planner.errors import Infeasible, NoneFound
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.plan.wishes import as_kept
from planner.planning.anew import ANEW_ROUNDS
from planner.schedule import timing as w
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from planner.slips.compare import run_changes, runs_moved, tier_changes
from planner.slips.document import Cell, Policy, SlipRow, Verdict
from planner.slips.slip import Kind, Slip, recompiled, things
from planner.slips.waiting import waiting
from planner.slips.words import row_words

SLIPS = (1, 3, 7, 10)
POLICIES: tuple[Policy, ...] = ("nothing else changes", "planned anew")
MOST_SLACK_DAYS = 60


@dataclass(frozen=True)
class Asked:
    """One cell to be worked out."""

    slip: Slip
    policy: Policy


class Study:
    """A campaign with its plan, ready to be asked about slips."""

    def __init__(self, campaign: Campaign, plan: RunPlan, rounds: int = ANEW_ROUNDS) -> None:
        self.plan, self.rounds = plan, rounds
        self.order = order_of(plan)
        self.inst, self.names = compile_campaign(as_kept(campaign, plan))

    def asked(self, slips: tuple[int, ...] = SLIPS) -> list[Asked]:
        """Every cell of the table."""
        return [
            Asked(Slip(kind, name, days), policy)
            for kind, name in things(self.names.campaign)
            for days in slips
            for policy in POLICIES
        ]

    def pair(self, slip: Slip) -> list[Cell]:
        """One slip under every policy."""
        from planner.planning.make import kept  # here: who only asks does not search

        inst, names = recompiled(self.inst, self.names, slip)
        stands = kept(inst, names, self.order)
        anew = self._anew(inst, names, stands, Unhurried())
        return [self._cell(Asked(slip, policy), made) for policy, made in zip(POLICIES, (stands, anew), strict=True)]

    def cell(self, asked: Asked, control: Control | None = None) -> Cell:
        """Plan one slip and say what it does; its plan is written out and audited (raises AuditFailed)."""
        from planner.planning.make import kept  # here: who only asks does not search

        inst, names = recompiled(self.inst, self.names, asked.slip)
        made = kept(inst, names, self.order)
        if asked.policy == "planned anew":
            made = self._anew(inst, names, made, control or Unhurried())
        return self._cell(asked, made)

    def _cell(self, asked: Asked, made: RunPlan | None) -> Cell:
        return cell_of(self.plan, asked, made)

    def _anew(self, inst: Instance, names: Names, stands: RunPlan | None, control: Control) -> RunPlan | None:
        """Planned anew where the slip does harm; where it does none the plan stands as it is."""
        if stands is not None and stands.outcome.total <= self.plan.outcome.total + 0.005:
            return stands
        from planner.planning.make import planned_anew  # here: who only asks does not search

        try:
            return planned_anew(inst, names, self.order, control, self.rounds, bound_effort=0)
        except (Infeasible, NoneFound):
            return None

    def slack(self, kind: Kind, name: str, most: int = MOST_SLACK_DAYS) -> int | None:
        """Days it may slip, nothing else changed, before a tier leaves late, or later than planned where it is late
        already; None: more than `most`."""
        allowed = np.maximum(self._last_days(self.inst), self._promised)

        def late(days: int) -> bool:
            inst, _ = recompiled(self.inst, self.names, Slip(kind, name, days))
            return bool((self._last_days(inst) > allowed).any())

        if kind in ("tool", "piece"):
            return next((days - 1 for days in range(1, most + 1) if late(days)), None)
        if not late(most):
            return None
        borne, not_borne = 0, most  # compiled anew each time: halved, since a later delivery makes nobody earlier
        while not_borne - borne > 1:
            middle = (borne + not_borne) // 2
            borne, not_borne = (borne, middle) if late(middle) else (middle, not_borne)
        return borne

    @cached_property
    def _promised(self) -> Ints:
        """(B) promised day of each pack batch; a batch promised for no day may leave on any."""
        return self.inst.batch_due

    def _last_days(self, inst: Instance) -> Ints:
        """(B) day each batch leaves if the order of work is kept; no day reached: far away."""
        ours, solution = followed(inst, self.names, self.order)
        timing = timing_for(ours)
        if objective_of(packed_instance(ours), solution, timing) == float("inf"):
            return np.full(self.inst.batch_due.shape, np.iinfo(np.int64).max, dtype=np.int64)
        return ours.pickup_day[timing.batches[:, w.PICKUP]]

    def row(self, kind: Kind, name: str, cells: list[Cell]) -> SlipRow:
        """All of one thing's cells, its slack, and what it means."""
        own = [c for c in cells if (c.kind, c.name) == (kind, name)]
        keeps = [c for c in own if c.policy == "nothing else changes"]
        worst = max(keeps, key=lambda c: c.days)
        slack = self.slack(kind, name)
        return SlipRow(
            kind=kind,
            name=name,
            slack_days=slack,
            verdict=self.verdict(worst),
            harm=self.harm(keeps),
            words=row_words(own, slack, self.plan.currency),
            cells=own,
        )

    def harm(self, keeps: list[Cell]) -> float | None:
        """The worst cost of a thing's slips, nothing else changed; None where one cannot be carried out."""
        changes = [c.cost_change for c in keeps if c.cost_change is not None]
        return max(changes) if len(changes) == len(keeps) else None

    def verdict(self, cell: Cell) -> Verdict:
        """Big: someone leaves late who did not, or later still; small: a date or the cost moves; else no problem."""
        was_late = {t.tier: t.days_late for t in self.plan.tiers}
        if not cell.possible or any(t.days_late > was_late.get(t.tier, 0) for t in cell.tiers):
            return "big"
        if any(t.days > 0 for t in cell.tiers) or (cell.cost_change or 0.0) > 0.5:
            return "small"
        return "no problem"


def cell_of(plan: RunPlan, asked: Asked, made: RunPlan | None) -> Cell:
    """What a slip does to a plan. made: the plan after it; None: it cannot be carried out."""
    slip, policy = asked.slip, asked.policy
    if made is None:
        return Cell(
            kind=slip.kind, name=slip.name, days=slip.days, policy=policy, possible=False, audited=False,
            cost=None, cost_change=None, purge_kg_change=None, runs_moved=0, tiers=[],
        )  # fmt: skip
    late = waiting(plan, made)
    return Cell(
        kind=slip.kind,
        name=slip.name,
        days=slip.days,
        policy=policy,
        possible=True,
        audited=made.audit is not None and made.audit.holds,
        cost=made.outcome.total,
        cost_change=made.outcome.total - plan.outcome.total,
        purge_kg_change=made.purge_kg - plan.purge_kg,
        runs_moved=runs_moved(run_changes(plan, made)),
        people=late.people,
        longest_days=late.longest,
        waiting_days=late.days,
        tiers=tier_changes(plan, made),
    )


def in_order(rows: list[SlipRow]) -> list[SlipRow]:
    """First what cannot be carried out, then what makes most people wait longest, nothing else changed; then by money,
    then the one with the least slack."""
    far = MOST_SLACK_DAYS + 1

    def people(row: SlipRow) -> int:
        return max((c.waiting_days for c in row.cells if c.policy == "nothing else changes"), default=0)

    return sorted(
        rows,
        key=lambda r: (
            r.harm is not None,
            -people(r),
            -(r.harm or 0.0),
            far if r.slack_days is None else r.slack_days,
            r.kind,
            r.name,
        ),
    )
