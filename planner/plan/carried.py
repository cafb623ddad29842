"""Lots on their way from one bench to another at another place, written from the timing."""

from planner.demand.carried import Carried, carried
from planner.demand.finishing import Journeys
from planner.plan.benches import batch_ids, job_ids
from planner.plan.finished import CarriedLot, LotVisit
from planner.plan.finishing import finishing_ids, on_the_way
from planner.schedule import timing as w
from planner.schedule.encode import Names, horizon_days
from planner.schedule.instance import Instance
from planner.schedule.timing import Timing


def carried_lots(inst: Instance, names: Names, timing: Timing) -> list[CarriedLot]:
    """What goes from bench to bench, in the order in which it leaves."""
    campaign = names.campaign
    going = carried(campaign, names.jobs)
    if not going:
        return []
    journeys = Journeys(campaign, names.clock, horizon_days(campaign, names.clock))
    finishing, jobs, batches = finishing_ids(inst, timing), job_ids(timing), batch_ids(timing)
    number, found = inst.job_work.size, []
    for one in going:
        done = _done(inst, timing, one)
        legs = journeys.along(one.visits, done)
        assert legs  # the plan's parcels leave, and are packed of what has come
        if one.to > inst.finishing:
            of, to = batches[one.of], batches[one.of]
        else:
            of = finishing[one.after * number + one.of]
            to = jobs[one.of] if one.to == inst.finishing else finishing[one.to * number + one.of]
        found.append(
            CarriedLot(
                of=of,
                to=to,
                units=one.units,
                ready=names.clock.moment(done),
                visits=[
                    LotVisit(
                        firm=leg.visit.firm,
                        what=[on_the_way(leg.visit)],
                        parts=one.units,
                        leaves=names.clock.moment(leg.leaves),
                        back=names.clock.moment(leg.back),
                        price=campaign.places[leg.visit.firm].lot_price,
                    )
                    for leg in legs
                ],
            )
        )
    return sorted(found, key=lambda lot: (lot.visits[0].leaves, lot.to))


def _done(inst: Instance, timing: Timing, one: Carried) -> int:
    """When a lot may leave: the work before is done, and has rested."""
    if one.to > inst.finishing:
        first, last = int(inst.job_ptr[one.of]), int(inst.job_ptr[one.of + 1])
        return int(timing.jobs[first:last, w.ENDED].max(initial=0))
    row = one.after * inst.job_work.size + one.of
    return int(timing.finished[row, w.ENDED]) + int(inst.finish_rest[one.after, one.of])
