"""People who stay at a press while it moulds (RULES.md, R26)."""

from tests.planner.schedule.plain.workshop import CannotBeDone, Workshop


def staying_at(shop: Workshop, run: int) -> int:
    """People who stay at the press while a run is moulded."""
    return int(shop.inst.run_operators[run]) if shop.inst.tended else 0


def free_to_stay(shop: Workshop, p: int, run: int, earliest: int) -> int:
    """The first moment at which as many people of the place as a run asks for stay nowhere else."""
    inst, many = shop.inst, staying_at(shop, run)
    if not inst.operators or not many:
        return earliest
    first, there = int(inst.operator_first[p]), int(inst.operator_last[p] - inst.operator_first[p])
    mine = [(number, until) for place, number, until in shop.staying if place == first]
    for moment in sorted({earliest, *(until for _, until in mine if until > earliest)}):
        if sum(number for number, until in mine if until > moment) + many <= there:
            return moment
    raise CannotBeDone
