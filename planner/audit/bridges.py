"""From heat to heat in a barrel (A5): minutes between set points, and a resin between two that no heat suits both."""

from fractions import Fraction
from itertools import pairwise

from planner.audit import resin_heat
from planner.audit.case import Asked, Case, Work
from planner.audit.figures import KG, exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.others import NOBODY_KNOWS
from planner.campaign import Campaign
from planner.plan.document import Purge


def over_a_bridge(case: Case, work: Work, asked: Asked, purge: Purge, notes: Findings) -> Purge:
    """Look at a purge's heating and bridge; what is left of it is a purge of the melt to come."""
    one, other = asked.held.rpartition("/")[0], asked.comes.rpartition("/")[0]
    in_barrel = asked.where == "barrel"
    seconds = heating(case, work, one, other) if in_barrel else 0
    notes.expect(
        purge.heat_seconds == seconds,
        f"{work}: {asked} heats or cools {seconds} s between set points, the plan gives {purge.heat_seconds} s",
    )
    told_heats(case, work, asked, purge, notes)
    told_ways_in(case, work, asked, purge, notes)
    if not purge.bridge:
        notes.expect(
            purge.bridge_kg == 0, f"{work}: {asked} has {purge.bridge_kg:g} kg of a bridge and no resin for it"
        )
        notes.expect(
            not in_barrel or resin_heat.meet(case.campaign, one, other),
            f"{work}: {asked}: no heat suits both, and no resin goes between",
        )
        return purge
    notes.expect(
        in_barrel and not resin_heat.meet(case.campaign, one, other) and fit(case.campaign, purge.bridge, one, other),
        f"{work}: `{purge.bridge}` cannot go between `{one}` and `{other}` in barrel {asked.barrel}, or need not",
    )
    barrels = work.press.barrels
    held = exact(barrels[asked.barrel - 1].holdup_kg) if asked.barrel <= len(barrels) else Fraction(0)
    kg = float(held * exact(case.campaign.purging.bridge_holdups))
    notes.expect(
        same(purge.bridge_kg, kg, KG) and purge.way == "melt alone",
        f"{work}: `{purge.bridge}` takes {kg:.3f} kg between `{one}` and `{other}`, not {purge.bridge_kg:g} kg",
    )
    rest = {field: getattr(purge, field) - purge.bridge_kg for field in ("kg", "kg_p10", "kg_p90")}
    return purge.model_copy(update=rest)


def told_heats(case: Case, work: Work, asked: Asked, purge: Purge, notes: Findings) -> None:
    """What the plan tells of the heats on both sides of a purge, where it tells it."""
    if purge.heat is None:
        return
    comes = resin_heat.heat(case.campaign, asked.comes.rpartition("/")[0])
    held = resin_heat.Heat(None, None, resin_heat.UNKNOWN_STANDS)
    if asked.held != NOBODY_KNOWS:
        held = resin_heat.heat(case.campaign, asked.held.rpartition("/")[0])
    ours = _middle(held), _middle(comes), held.stands, comes.stands
    told = purge.heat.from_c, purge.heat.set_c, purge.heat.old_stands_c, purge.heat.new_stands_c
    notes.expect(
        asked.where == "barrel" and ours == told,
        f"{work}: {asked}: set points and what both stand are {ours} degrees C, the plan says {told}",
    )


def told_ways_in(case: Case, work: Work, asked: Asked, purge: Purge, notes: Findings) -> None:
    """At which heats the plan lets resins in one after the other, where it tells it."""
    if not purge.goes_in:
        return
    chain = [asked.held.rpartition("/")[0], *([purge.bridge] if purge.bridge else []), asked.comes.rpartition("/")[0]]
    ours = [(other, *resin_heat.between(case.campaign, one, other)) for one, other in pairwise(chain)]
    told = [(one.resin, one.least_c, one.most_c) for one in purge.goes_in]
    known = asked.held != NOBODY_KNOWS and chain[0] != chain[-1]
    notes.expect(
        known and told == ours,
        f"{work}: {asked}: resins go in at {ours} degrees C (least, most), the plan says {told}",
    )


def _middle(heat: resin_heat.Heat) -> float | None:
    return None if heat.low is None or heat.high is None else (heat.low + heat.high) / 2


def heating(case: Case, work: Work, one: str, other: str) -> int:
    """Seconds a barrel takes from the middle of one resin's range to that of another's; 0 where one is not known."""
    if one == other:
        return 0
    a, b = resin_heat.heat(case.campaign, one), resin_heat.heat(case.campaign, other)
    if a.low is None or a.high is None or b.low is None or b.high is None:
        return 0
    change = (exact(b.low) + exact(b.high) - exact(a.low) - exact(a.high)) / 2
    rate = work.press.heats_c_per_minute if change > 0 else work.press.cools_c_per_minute
    return whole_up(abs(change) * 60 / exact(rate))


def fit(campaign: Campaign, bridge: str, one: str, other: str) -> bool:
    """Whether a resin may go between two others: known to stand, not dried, and some heat suits it and each of them."""
    entry = campaign.resins.get(bridge)
    return (
        entry is not None
        and not entry.drying_hours
        and resin_heat.may_stay(campaign, bridge)
        and resin_heat.meet(campaign, one, bridge)
        and resin_heat.meet(campaign, bridge, other)
    )
