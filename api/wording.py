"""What pages, paper and pictures say alike; dates, money and masses are those of `planner.wording`."""

from typing import Protocol

from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import Closing, OthersBefore, Purge, Run
from planner.wording import MONTHS as MONTHS
from planner.wording import THIN as THIN
from planner.wording import WEEKDAYS as WEEKDAYS
from planner.wording import day as day
from planner.wording import days as days
from planner.wording import duration as duration
from planner.wording import exact_money as exact_money
from planner.wording import figure as figure
from planner.wording import kilograms as kilograms
from planner.wording import moment as moment
from planner.wording import money as money
from planner.wording import number as number
from planner.wording import per_cent as per_cent
from planner.wording import short_day as short_day
from planner.wording import signed as signed

SAFE, EVEN = 0.8, 0.5
"""Chances from which a promised day is called safe, and at least even."""


WHEN_LATE = {
    "as planned": "its press keeps the order and waits",
    "first ready": "its press takes the next run that is ready",
    "plan again": "it is planned again: its press waits, takes a run that is ready, or one of another press, whatever "
    "costs least by what is known then",
}
"""What a workshop does when a tool is late."""

LATE_SHORT = {
    "as planned": "keep the order and wait",
    "first ready": "take the next run that is ready",
    "plan again": "plan again by what is known then",
}
"""The same as something to choose."""


def kept(days_late: int, promised: bool, chance: float | None) -> str:
    """What becomes of a promised day: late as planned, or how sure it is that it holds.

    A plan that is in time on paper says so only where nobody has looked how sure that is, or where it is safe enough.
    """
    if not promised:
        return "nothing promised"
    if days_late:
        return f"{days(days_late)} late"
    if chance is None:
        return "on time if all goes as planned"
    holds = f"holds in {per_cent(chance)}"
    if chance >= SAFE:
        return f"on time, {holds}"
    return f"not safe: {holds}" if chance >= EVEN else f"more likely late: {holds}"


def counted(count: int, one: str, many: str | None = None) -> str:
    """`1 run`, `21 runs`."""
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


class InParts(Protocol):
    """Parcels that are one part of each of their orders."""

    @property
    def part(self) -> int: ...
    @property
    def parts(self) -> int: ...


def part_of(parcels: InParts) -> str:
    """`, part 1 of 2` behind what the parcels are; nothing where their orders go out whole."""
    return f", part {parcels.part} of {parcels.parts}" if parcels.parts > 1 else ""


def heat_and_bridge(purge: Purge) -> str:
    """What comes before a purge where the barrel must get to another heat, closed by a semicolon; else nothing."""
    heats = _heats(purge)
    if not purge.bridge:
        return f"{heats}; " if heats else ""
    between = f"{kilograms(purge.bridge_kg)} of {purge.bridge} goes between (counted in the kilograms)"
    return f"{between}, {heats}, then " if heats else f"{between}, then "


def _heats(purge: Purge) -> str:
    """From where to where a barrel heats or cools, how long, and what may not be in it so hot; nothing: it need not."""
    heat, lasts = purge.heat, f" for {duration(purge.heat_seconds)}" if purge.heat_seconds else ""
    if heat is None:
        return f"heat or cool{lasts}" if lasts else ""
    held, comes = (melt.rpartition("/")[0] for melt in (purge.from_, purge.to))
    said = []
    if heat.from_c is None:
        said.append(f"bring the barrel to {heat.set_c:g} °C" + (f", up to {lasts[5:]}" if lasts else ""))
    elif heat.from_c != heat.set_c:
        way = "heat" if heat.set_c > heat.from_c else "cool"
        said.append(f"{way}{lasts}, from {heat.from_c:g} to {heat.set_c:g} °C")
    if heat.set_c > heat.old_stands_c:
        said.append(f"{held or 'what is in it'} must be out before it is hotter than {heat.old_stands_c:g} °C")
    if heat.from_c is None or heat.from_c > heat.new_stands_c:
        said.append(f"{comes} goes in at {heat.new_stands_c:g} °C at most")
    return ", ".join(said)


def closing_said(closing: Closing) -> str:
    """What a closing clears out of which place, and with what, in words."""
    places = ", ".join(
        f"{one.where} {one.barrel} of {one.from_} with {kilograms(one.kg)} of {one.to}" for one in closing.cleared
    )
    return f"clear {places} ({duration(closing.seconds)}); the next start purges that out again and pays for it"


def others_left(told: OthersBefore) -> str:
    """What others left in a press, in words."""
    barrels = ", ".join(
        f"nobody knows what is in barrel {n}: ask them before you heat it"
        if melt == UNKNOWN
        else f"barrel {n} holds {melt}, as they say"
        for n, melt in enumerate(told.left, start=1)
    )
    return f"others worked here until {moment(told.until)}; their tool is in the press, and {barrels}"


def into_the_mould(run: Run) -> str:
    """What goes into the mould before each shot, and over the whole run; nothing where nothing does."""
    each = [
        f"{number(one.number // run.shots)} {one.id}"
        + (f" in {' / '.join(one.colours)}" if one.colours else "")
        + f" ({number(one.number)} in all)"
        for one in run.takes
    ]
    return f"before each shot, into the mould: {', '.join(each)}" if each else ""


def others_take_over(run: Run) -> str:
    """What to do after a run where others take its press over; nothing where they do not."""
    if run.others_from is None:
        return ""
    closing = run.stretches[-1].closing if run.stretches else None
    cleared = {one.barrel: one.to for one in closing.cleared if one.where == "barrel"} if closing else {}
    barrels = ", ".join(f"barrel {n} holds {cleared.get(n, melt)}" for n, melt in enumerate(run.melts, start=1))
    return (
        f"others take the press over from {moment(run.others_from)}: lock out and take {run.tool} out before then, and "
        f"tell them that {barrels}"
    )


def purge_way(purge: Purge) -> str:
    """How a purge with compound or over a bridge is made, in brackets; nothing for melt alone."""
    if purge.bridge:
        return f" ({kilograms(purge.bridge_kg)} of {purge.bridge} between, while the barrel heats or cools)"
    if not purge.compound_kg:
        return ""
    soak = f", soak {duration(purge.soak_seconds)}" if purge.soak_seconds else ""
    return f" (purging compound {kilograms(purge.compound_kg)}{soak}, rinse {kilograms(purge.rinse_kg)})"
