"""Melts that must not stand (A5): cleared at the end of each stretch with one that may, and purged in again after."""

from fractions import Fraction

from planner.audit import resin_heat
from planner.audit.case import Asked, Case, Work, closing_of
from planner.audit.figures import KG, MONEY, exact, same, whole_up
from planner.audit.findings import Findings
from planner.audit.purges import PurgeBook, open_seconds
from planner.campaign import Campaign
from planner.plan.document import Cleared, Stretch

Place = tuple[str, int]
"""barrel or hot runner, number from 1"""


def closings(case: Case, work: Work, book: PurgeBook, notes: Findings) -> dict[int, str]:
    """Look at every stretch of a run; what each barrel whose melt must not stand is left with, by number."""
    held = _must_go(case, work)
    left: dict[int, str] = {}
    for n, stretch in enumerate(work.run.stretches):
        found = {(one.where, one.barrel): one for one in stretch.closing.cleared} if stretch.closing else {}
        notes.expect(
            set(found) == set(held) and (stretch.closing is None or len(stretch.closing.cleared) == len(found)),
            f"{work}: {_said(held)} must not stand, the stretch to {case.clock.say(case.clock.second(stretch.end))} "
            f"clears {_said(found)}",
        )
        for place, one in found.items():
            resin = one.to.rpartition("/")[0]
            kg = float(held.get(place, Fraction(0)) * exact(case.campaign.purging.closing_holdups))
            notes.expect(
                one.from_ == work.run.melts[place[1] - 1] and _fit(case.campaign, one.from_, one.to),
                f"{work}: {place[0]} {place[1]} cannot be cleared of {one.from_} with {one.to}",
            )
            notes.expect(same(one.kg, kg, KG), f"{work}: clearing {one.from_} takes {kg:.3f} kg, not {one.kg:g} kg")
            price = case.campaign.resins[resin].price_per_kg if resin in case.campaign.resins else 0.0
            cost = one.kg * (price + case.campaign.floor.disposal_per_kg)
            notes.expect(same(one.cost, cost, MONEY), f"{work}: clearing {one.from_} costs {cost:.2f}")
            if one.goes_in is not None:
                told = one.goes_in.resin, one.goes_in.least_c, one.goes_in.most_c
                ours = resin, *resin_heat.between(case.campaign, one.from_.rpartition("/")[0], resin)
                notes.expect(
                    told == ours, f"{work}: {one.from_} is cleared with {ours} degrees C, the plan says {told}"
                )
            left[place[1]] = one.to
        seconds = sum(_seconds(case, work, place, one) for place, one in found.items())
        notes.expect(
            closing_of(stretch) == seconds,
            f"{work}: clearing what must not stand takes {seconds} s, the plan gives {closing_of(stretch)} s",
        )
        _again(case, work, stretch, left if n else {}, held, book, notes)
    return left


def _must_go(case: Case, work: Work) -> dict[Place, Fraction]:
    """Barrels and hot runners of a run that hold what must not stand, with the kg they hold."""
    found: dict[Place, Fraction] = {}
    for number, (resin, _) in enumerate(work.melts, start=1):
        if resin_heat.must_go(case.campaign, resin) and number <= len(work.press.barrels):
            found["barrel", number] = exact(work.press.barrels[number - 1].holdup_kg)
            if work.hot_kg[number - 1]:
                found["hot runner", number] = work.hot_kg[number - 1]
    return found


def _seconds(case: Case, work: Work, place: Place, one: Cleared) -> int:
    """Seconds of clearing a barrel into the open, or a hot runner in whole purge shots."""
    where, barrel = place
    if not 1 <= barrel <= work.barrels:
        return 0
    if where == "barrel":
        return open_seconds(case, work, barrel, one.to.rpartition("/")[0], one.kg)
    grams = work.shot_g[barrel - 1]
    return whole_up(whole_up(exact(round(one.kg, 3)) * 1000 / grams) * work.purge_shot) if grams else 0


def _fit(campaign: Campaign, melt: str, by: str) -> bool:
    """Whether a melt may be cleared with another: undyed, fit to stand, not dried, and no heat between them."""
    resin, _, colour = by.rpartition("/")
    entry = campaign.resins.get(resin)
    return (
        entry is not None
        and entry.natural_colour == colour
        and not entry.drying_hours
        and resin_heat.may_stay(campaign, resin)
        and resin_heat.meet(campaign, melt.rpartition("/")[0], resin)
    )


def _again(
    case: Case,
    work: Work,
    stretch: Stretch,
    left: dict[int, str],
    held: dict[Place, Fraction],
    book: PurgeBook,
    notes: Findings,
) -> None:
    """A stretch that goes on after a closing purges out what that left; any other purges nothing."""
    asked = [Asked(where, barrel, left[barrel], work.run.melts[barrel - 1]) for where, barrel in held if barrel in left]
    book.compare(work, stretch.purges, asked)
    notes.expect(
        all(purge.way == "melt alone" and not purge.bridge for purge in stretch.purges),
        f"{work}: a restart is purged with the run's own melt alone",
    )


def _said(places: object) -> str:
    named = [f"{where} {barrel}" for where, barrel in places] if isinstance(places, dict) else []
    return " and ".join(named) or "nothing"
