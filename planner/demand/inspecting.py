"""The inspector's minutes at the assembly bench: each part assembled brings its share of its lot's inspection."""

from fractions import Fraction
from functools import lru_cache

from planner.campaign import Campaign
from planner.campaign.inspection import Inspection
from planner.demand.items import Item, RunDemand, open_cavities, parts_of_unit
from planner.demand.lots import lots
from planner.quality.inspection import DefectKind, InspectorTimes, LotInspection, inspect_lot
from planner.quality.schemes import Severity
from planner.quality.switching import standing


def inspected(asked: Inspection, lot: int) -> LotInspection:
    """What the inspector does on a lot of so many pieces."""
    kinds = [DefectKind(name, limit.aql, limit.level) for name, limit in asked.defects.items()]
    times = InspectorTimes(
        piece=asked.minutes,
        lot=asked.lot_minutes,
        off_check=asked.off_minutes,
        off_pieces=asked.off_pieces,
        destroyed_share=1.0 if asked.destructive else 0.0,
    )
    return inspect_lot(lot, kinds, times, severity_of(asked))


def severity_of(asked: Inspection) -> Severity:
    """How this plan's lots are inspected, by the verdicts on lots before; tightened, too, where it should stop."""
    told = standing(verdict == "accepted" for verdict in asked.past_lots).next
    return "normal" if told == "normal" else "tightened"


def bench_minutes(campaign: Campaign, runs: list[RunDemand]) -> dict[Item, Fraction]:
    """Minutes at the assembly bench for each part ordered of an item; items that nobody inspects there are left out.

    A demand is inspected as one lot, or as the lots it may be cut into, whichever takes more minutes; what several
    tools make is inspected tool by tool.
    """
    found: dict[Item, Fraction] = {}
    for run in runs:
        cut = lots(run.shots, campaign.tools[run.tool].smallest_lot_shots)
        for item in run.items:
            asked = campaign.parts[item.part].inspection
            cavities = open_cavities(campaign, run.tool, item.part)
            if asked is None or asked.at != "assembly" or not item.ordered or not cavities:
                continue
            most = max(sum(_minutes(asked, shots * cavities) for shots in way) for way in ([run.shots], cut))
            found[item.item] = found.get(item.item, Fraction(0)) + Fraction(most) / item.ordered
    return found


def job_minutes(
    campaign: Campaign, inspecting: dict[Item, Fraction], product: str, colourway: str, units: int
) -> tuple[Fraction, Fraction]:
    """Person minutes of an assembly job, and those of them that are its parts' share of inspection."""
    share = Fraction(0)
    if inspecting:
        items = parts_of_unit(campaign, product, colourway).items()
        share = sum((n * inspecting[item] for item, n in items if item in inspecting), share)
    return units * (_exact(campaign.products[product].assembly_minutes) + share), units * share


def _minutes(asked: Inspection, lot: int) -> Fraction:
    drawn = inspected(asked, lot).sample
    return _exact(asked.lot_minutes) + drawn * _exact(asked.minutes) + 2 * _exact(asked.off_minutes)


@lru_cache(maxsize=1024)
def _exact(minutes: float) -> Fraction:
    return Fraction(repr(minutes))
