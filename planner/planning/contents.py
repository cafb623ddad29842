"""What a plan consists of, worked out from its timing, and what follows: its cost, its payments, whose it is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.campaign import Campaign
from planner.demand.several_campaigns import several
from planner.material import DryingLoad, PieceBuy, WeightBuy
from planner.plan import benches, cartons, dryers, material_balance, runs
from planner.plan.apart import Made, apart
from planner.plan.carried import carried_lots
from planner.plan.cash import cash, finishing_due, in_order
from planner.plan.charges import Charged, charge_lines, charged, charges_due, with_charges
from planner.plan.document import (
    Assembly,
    CampaignApart,
    CarriedLot,
    CashDue,
    CostLine,
    Dispatch,
    FinishingJob,
    FinishingLot,
    Material,
    Outcome,
    PackBatch,
    PieceNeed,
    Run,
    RunInspection,
    TierDates,
)
from planner.plan.finishing import finishing_jobs, finishing_lots
from planner.plan.inspection import inspections
from planner.plan.money import costs, finishing_lines
from planner.plan.others_work import with_others_work
from planner.plan.runs import RunUse
from planner.schedule.encode import Names
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution
from planner.schedule.timing import Timing


@dataclass(frozen=True)
class Contents:
    """Part by part, in the order in which one follows from the others. assembly_s: person-seconds of all its jobs.
    paid: press -> what it is charged."""

    uses: list[RunUse]
    assembly: list[Assembly]
    assembly_s: int
    finishing: list[FinishingJob]
    finishing_lots: list[FinishingLot]
    carried: list[CarriedLot]
    packed: list[PackBatch]
    sent: list[Dispatch]
    bought: list[tuple[Material, WeightBuy]]
    bought_pieces: list[tuple[PieceNeed, PieceBuy]]
    loads: list[DryingLoad]
    inspected: list[RunInspection]
    paid: Mapping[str, Charged]

    @property
    def runs(self) -> list[Run]:
        return [use.run for use in self.uses]

    @property
    def ways(self) -> list[FinishingLot | CarriedLot]:
        """All that travels before it is packed."""
        return [*self.finishing_lots, *self.carried]

    @property
    def materials(self) -> list[Material]:
        return [line for line, _ in self.bought]

    @property
    def pieces(self) -> list[PieceNeed]:
        return [line for line, _ in self.bought_pieces]

    @property
    def heaviest_kg(self) -> float | None:
        """The heaviest carton; None: none is known."""
        return max((batch.box.gross_kg for batch in self.packed if batch.box), default=None)


def contents(inst: Instance, names: Names, solution: Solution, timing: Timing) -> Contents:
    """inst and timing: as the plan is written down."""
    campaign = names.campaign
    uses = with_others_work(names, runs.runs(inst, names, timing))
    assembly, finishing = benches.assembly(names, timing), finishing_jobs(inst, names, timing)
    packed = cartons.boxed(campaign, benches.batches(names, timing, solution.order, benches.pickup_ids(timing)))
    return Contents(
        uses=uses,
        assembly=assembly,
        assembly_s=int(inst.job_work.sum()),
        finishing=finishing,
        finishing_lots=finishing_lots(inst, names, timing, solution.order),
        carried=carried_lots(inst, names, timing),
        packed=packed,
        sent=cartons.palletised(benches.dispatches(inst, names, timing, packed), packed),
        bought=material_balance.materials(names, uses),
        bought_pieces=material_balance.pieces(names, uses, assembly, packed, finishing),
        loads=dryers.loads(campaign, uses, names.clock),
        inspected=inspections(campaign, [use.run for use in uses]),
        paid=charged(inst, names, uses),
    )


def cost_lines(campaign: Campaign, work: Contents) -> list[CostLine]:
    """Every line of RULES.md, M1."""
    cleaning_s = dryers.cleanings_seconds(campaign, work.loads)
    lines = costs(
        campaign, work.uses, work.bought, work.bought_pieces, work.assembly_s, work.packed, work.sent, cleaning_s
    )
    lines = with_charges(lines, charge_lines(campaign, work.uses, work.paid))
    return [*lines[:-1], *finishing_lines(campaign, work.finishing, work.ways), *lines[-1:]]


def payments(campaign: Campaign, work: Contents) -> list[CashDue]:
    """Every payment by the last day on which it can be made (RULES.md, M5)."""
    drying = dryers.lines(campaign, work.loads)
    due = cash(campaign, work.uses, work.materials, work.pieces, work.assembly, work.packed, work.sent, drying)
    return in_order(due, [*finishing_due(campaign, work.finishing, work.ways), *charges_due(work.paid)])


def told_apart(
    names: Names, work: Contents, tiers: Sequence[TierDates], outcome: Outcome, lines: Sequence[CostLine]
) -> list[CampaignApart]:
    """Where several campaigns share the floor, each by itself (RULES.md, K1 to K3)."""
    if not several(names.campaign):
        return []
    made = Made(names.campaign, names.runs, work.uses, work.assembly, work.packed, work.sent)
    finishing = work.finishing, work.finishing_lots, work.carried
    return apart(made, tiers, outcome, lines, work.bought, work.pieces, finishing, work.paid)
