"""How hot a barrel may be for what is in it and for what goes in, written into the plan's purges and closings."""

from itertools import pairwise

from planner.campaign.heat import UNKNOWN_HEAT, goes_in_between, heat_of
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import BetweenHeats, GoesIn
from planner.purge.heating import heating_seconds
from planner.purge.unknown import heating_at_most
from planner.schedule.encode import Names


def heating(names: Names, p: int, old: int, new: int) -> int:
    if names.melt(old) == UNKNOWN:
        resins = sorted({melt.rpartition("/")[0] for melt in names.melts})
        return heating_at_most(names.campaign, names.presses[p], resins, names.melts[new].rpartition("/")[0])
    one, other = (names.melts[melt].rpartition("/")[0] for melt in (old, new))
    return heating_seconds(names.campaign, names.presses[p], one, other) if one != other else 0


def between_heats(names: Names, old: int, new: int) -> BetweenHeats | None:
    """The heats of what a barrel holds and of what comes; None where the resin stays or where nobody knows."""
    resins = names.campaign.resins
    held, comes = (names.melt(melt).rpartition("/")[0] for melt in (old, new))
    one = UNKNOWN_HEAT if names.melt(old) == UNKNOWN else heat_of(held, resins[held])
    other = heat_of(comes, resins[comes])
    if held == comes or not other.known:
        return None
    return BetweenHeats(
        from_c=one.set_point if one.known else None,
        set_c=other.set_point,
        old_stands_c=one.survives,
        new_stands_c=other.survives,
    )


def goes_in(names: Names, old: int, new: int, bridge: str = "") -> list[GoesIn]:
    """At which heats the bridge, if there is one, and then what comes go in; none where the resin stays the same, or
    where nobody knows what is there or how hot what comes is moulded."""
    resins = names.campaign.resins
    held, comes = (names.melt(melt).rpartition("/")[0] for melt in (old, new))
    if names.melt(old) == UNKNOWN or held == comes or not heat_of(comes, resins[comes]).known:
        return []
    chain = [held, *([bridge] if bridge else []), comes]
    found = []
    for one, other in pairwise(chain):
        between = goes_in_between(heat_of(one, resins[one]), heat_of(other, resins[other]))
        if between is not None:
            found.append(GoesIn(resin=other, least_c=between[0], most_c=between[1]))
    return found
