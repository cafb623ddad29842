"""What is done to parts between press and assembly: benches' jobs and lots that travel, written from the timing."""

from collections import Counter

import numpy as np

from planner.campaign.products import Product
from planner.demand.finishing import (
    BenchWork,
    Journeys,
    Put,
    TransferLot,
    Visit,
    Worked,
    sent,
    transfer_lots,
    visit_price,
    visits,
)
from planner.demand.items import Item, parts_of_unit
from planner.plan.benches import job_ids
from planner.plan.finished import FinishedPart, FinishingJob, FinishingLot, LotVisit, PutTogether
from planner.plan.shots_done import ShotsDone
from planner.schedule import timing as w
from planner.schedule.encode import Names, horizon_days
from planner.schedule.encode.goods import MadeWith
from planner.schedule.instance import Instance, Ints
from planner.schedule.timing import Timing

SPARE = "spare"
BROUGHT, TAKEN = "brought here", "taken there"


def finishing_ids(inst: Instance, timing: Timing) -> dict[int, str]:
    """Rows of the benches before assembly -> id, numbered in order of start."""
    rows, jobs = timing.finished, inst.job_work.size
    there = [row for row in range(rows.shape[0]) if inst.finish_work[row // jobs, row % jobs] >= 0]
    in_order = sorted(there, key=lambda row: (rows[row, w.STARTED], rows[row, w.ENDED], row))
    return {row: f"finishing-{n}" for n, row in enumerate(in_order, start=1)}


def finishing_jobs(inst: Instance, names: Names, timing: Timing) -> list[FinishingJob]:
    """Jobs of the benches before assembly, in order of start."""
    work, assembly, jobs = BenchWork(names.campaign, names.jobs), job_ids(timing), inst.job_work.size
    found = []
    for row, name in finishing_ids(inst, timing).items():
        bench, job = divmod(row, jobs)
        _, product, colourway, _ = names.jobs[job]
        given = names.campaign.products[product].finished_in.get(colourway, {})
        minutes = work.minutes(bench, job)
        end = int(timing.finished[row, w.ENDED])
        found.append(
            FinishingJob(
                id=name,
                bench=work.benches[bench],
                assembly=assembly[job],
                parts=[_part(work, one, given.get(one.item[0])) for one in work.of.get((bench, job), [])],
                puts=[_put(names.campaign.products[product], one) for one in work.put.get((bench, job), [])],
                start=names.clock.moment(int(timing.finished[row, w.STARTED])),
                end=names.clock.moment(end),
                rested=names.clock.moment(end + int(inst.finish_rest[bench, job])),
                person_minutes=float(minutes or 0),
            )
        )
    return found


def _put(product: Product, one: Put) -> PutTogether:
    parts = {part: product.parts[part] for part in one.made.parts}
    return PutTogether(
        what=one.name, units=one.units, of=parts | {piece: product.pieces[piece] for piece in one.made.pieces}
    )


def _part(work: BenchWork, one: Worked, colour: str | None) -> FinishedPart:
    part, colours = one.item
    return FinishedPart(
        part=part,
        colours=list(colours),
        what=[step.what for step in one.steps],
        good=one.good,
        goes_in=float(work.goes_in(one, 0)),
        colour=colour if any(step.gives_colour for step in one.steps) else None,
    )


def finishing_lots(inst: Instance, names: Names, timing: Timing, order: Ints) -> list[FinishingLot]:
    """Lots that travel to other firms, in the order in which they leave. order (B): as batches are served."""
    campaign = names.campaign
    lots = transfer_lots(campaign, names.items.values(), names.runs)
    if not lots:
        return []
    journeys = Journeys(campaign, names.clock, horizon_days(campaign, names.clock))
    done, index = ShotsDone(inst, timing), {good: n for n, good in enumerate(names.goods)}
    painted = _colours(names, order)
    begun: Counter[Item] = Counter()
    found = []
    for lot in lots:
        part, colours = lot.item
        good = index[lot.item if lot.tool is None else MadeWith(lot.item, lot.tool)]
        complete = 0
        if lot.shots:
            beyond = lot.upto - int(inst.good_moulded[good])
            complete = done.of_good(good, beyond)[1] + int(inst.good_rest_s[good])
        legs = journeys.along(lot.going, complete)
        assert legs  # the plan's parts are back in time, and the last of them is in the last lot
        last = legs[-1]
        found.append(
            FinishingLot(
                id="",
                part=part,
                colours=list(colours),
                tool=lot.tool,
                good=lot.good,
                complete=names.clock.moment(complete),
                visits=[
                    LotVisit(
                        firm=leg.visit.firm,
                        what=[step.what for step in leg.visit.steps] or [on_the_way(leg.visit)],
                        parts=sent(campaign, part, leg.visit, lot.good),
                        leaves=names.clock.moment(leg.leaves),
                        back=names.clock.moment(leg.back),
                        price=visit_price(campaign, part, leg.visit, lot.good),
                    )
                    for leg in legs
                ],
                there=names.clock.moment(last.back + last.visit.rest_s),
                in_colours=_in_lot(painted.get(lot.item, []), begun[lot.item], lot)
                if any(_paints(leg.visit) for leg in legs)
                else {},
            )
        )
        begun[lot.item] += lot.good
    found.sort(key=lambda lot: (lot.visits[0].leaves, lot.part, lot.colours))
    return [lot.model_copy(update={"id": f"lot-{n}"}) for n, lot in enumerate(found, start=1)]


def on_the_way(visit: Visit) -> str:
    """A way from or to another place, in words."""
    return TAKEN if visit.out else BROUGHT


def _paints(visit: Visit) -> bool:
    return any(step.gives_colour for step in visit.steps)


def _colours(names: Names, order: Ints) -> dict[Item, list[tuple[str, int]]]:
    """Of items that get their colour at a firm: (colour, parts) as they are allotted."""
    campaign = names.campaign
    paints = {part for part in campaign.parts if any(_paints(visit) for visit in visits(campaign, part))}
    found: dict[Item, list[tuple[str, int]]] = {}
    if not paints:
        return found
    served = {int(b): n for n, b in enumerate(np.asarray(order))}
    for _, product, colourway, units in sorted(names.jobs, key=lambda job: served[job[0]]):
        given = campaign.products[product].finished_in.get(colourway, {})
        for item, each in parts_of_unit(campaign, product, colourway).items():
            if item[0] in paints:
                found.setdefault(item, []).append((given.get(item[0], SPARE), each * units))
    return found


def _in_lot(allotted: list[tuple[str, int]], begin: int, lot: TransferLot) -> dict[str, int]:
    """Colours of the parts from `begin` on, as many as the lot has."""
    found: Counter[str] = Counter()
    passed, end = 0, begin + lot.good
    for colour, parts in allotted:
        found[colour] += max(0, min(end, passed + parts) - max(begin, passed))
        passed += parts
    found[SPARE] += max(0, end - max(begin, passed))
    return {colour: parts for colour, parts in found.items() if parts}
