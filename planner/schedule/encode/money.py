"""Money that no order of work changes, and what a kilogram of melt costs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from math import fsum

import numpy as np

from planner.campaign import Campaign
from planner.campaign.melts import melt_price
from planner.demand.carried import carried, way_price
from planner.demand.finishing import BenchWork, Job, transfer_lots, visit_price
from planner.demand.items import ItemDemand, RunDemand
from planner.demand.parcels import Batch, pieces_used
from planner.demand.postage import batch_postage, extra_postage
from planner.material import MeltUse, regrind
from planner.material.piece_orders import cheapest_order, dearer, in_all, unused
from planner.schedule.encode.arrays import whole_seconds
from planner.schedule.encode.materials import Materials
from planner.schedule.instance import Floats


def regrind_kept(campaign: Campaign, runs: list[RunDemand], stuff: Materials, shot_g: dict[str, list[float]]) -> Floats:
    """Regrind fed back per material, kg."""
    fed = regrind(melt_uses(campaign, runs, shot_g), {r: resin.regrind_share for r, resin in campaign.resins.items()})
    return np.array([fed.get(name, 0.0) if kind == "resin" else 0.0 for kind, name in stuff.names])


def melt_uses(campaign: Campaign, runs: list[RunDemand], shot_g: dict[str, list[float]]) -> list[MeltUse]:
    """What each run demand's shots take of each melt, runners shown apart."""
    uses = []
    for run in runs:
        runner = campaign.tools[run.tool].runner_g
        for b, melt in enumerate(run.melts):
            resin, colour = melt.rsplit("/", 1)
            per_shot = runner[b] if b < len(runner) else 0.0
            uses.append(MeltUse(resin, colour, run.shots * shot_g[run.tool][b] / 1000, run.shots * per_shot / 1000))
    return uses


def fixed_costs(
    campaign: Campaign,
    runs: list[RunDemand],
    batches: list[Batch],
    assembly_s: int,
    stuff: Materials,
    kept: Floats,
    shot_g: dict[str, list[float]],
    at_shots: Counter[str],
) -> dict[str, float]:
    """Cost lines that no order of work changes, and the pieces' share of unused minimum orders under `pieces left`.

    assembly_s: person-seconds of all assembly jobs. at_shots: pieces that go into moulds.
    """
    moulded = sum(
        use.moulded_kg * melt_price(campaign, f"{use.resin}/{use.colour}") for use in melt_uses(campaign, runs, shot_g)
    ) - float((kept * stuff.price).sum())
    used = pieces_used(campaign, batches)
    used.update(at_shots)
    packing = 0
    extra = 0.0
    sent = 0.0
    for batch in batches:
        sent += batch_postage(campaign, batch, batch.pieces, batch.lines)
        extra += extra_postage(campaign, batch.tier, batch.part, batch.parcels)
        packing += whole_seconds(campaign.tiers[batch.tier].pack_minutes, batch.parcels)
    left = bought = 0.0
    for piece_id, count in used.items():
        if count:
            piece = campaign.pieces[piece_id]
            order = cheapest_order(piece, max(0, count - in_all(piece)))
            left += unused(piece, count, order.pieces) * order.price
            bought += count * order.price + dearer(piece, order.price)
    return {
        "moulded material": moulded,
        "bought-in pieces": bought,
        "pieces left": left,
        "assembly labour": assembly_s / 3600 * campaign.assembly.rate_per_hour,
        "packing labour": packing / 3600 * campaign.packing.rate_per_hour,
        "postage": sent,
        "extra postage": extra,
    }


def finishing_costs(
    campaign: Campaign, jobs: Sequence[Job], items: Iterable[ItemDemand], runs: Sequence[RunDemand]
) -> dict[str, float]:
    """What work between press and assembly costs in any order: hours at benches of our own, what is paid by the piece
    and by the lot, and the ways from and to other places. runs: as with `transfer_lots`."""
    work = BenchWork(campaign, jobs)
    hours = fsum(work.seconds(bench, job) / 3600 * work.rates[bench] for bench, job in work.jobs)
    by_piece, brought = [work.price(bench, job) for bench, job in work.jobs], list[float]()
    for lot in transfer_lots(campaign, items, runs):
        for visit in lot.going:
            paid = brought if visit.firm in campaign.places else by_piece
            paid.append(visit_price(campaign, lot.item[0], visit, lot.good))
    brought += [way_price(campaign, one.visits) for one in carried(campaign, jobs)]
    return {"finishing labour": hours, "finishing by the piece": fsum(by_piece), "carriage": fsum(brought)}
