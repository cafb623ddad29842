"""What binds, in sentences a maker reads at a glance."""

from collections.abc import Sequence
from datetime import datetime

from planner.plan.binding import Busy, HoursOf, Worth
from planner.wording import money, short_moment

TIGHT = 0.85
"""A press or bench busier than this until its last work is called the bottleneck: common practice, no source."""


def busy_words(busy: Sequence[Busy]) -> str:
    """The busiest press or bench, and whether it is a bottleneck."""
    one = next((b for b in busy if b.kind != "tool"), None)
    if one is None or not one.busy_hours:
        return "Nothing is moulded, assembled or packed."
    name = f"press {one.name}" if one.kind == "press" else f"the {one.name} bench"
    unit = "hours" if one.kind == "press" else "person-hours"
    until = "the last run of all" if one.kind == "press" else "its last job"
    tight = "; it is the bottleneck" if one.share >= TIGHT else ""
    return (
        f"Busiest is {name}: at work {one.busy_hours:.1f} of the {one.open_hours:.1f} {unit} it is open until {until}, "
        f"{one.share:.0%}{tight}."
    )


def chain_words(tier: str, leaves: datetime, said: Sequence[str], hours: Sequence[HoursOf]) -> str:
    """What set a tier's last day, from the end to the beginning, and what the time went into."""
    total = sum(one.hours for one in hours)
    most = ", ".join(f"{one.hours / 24:.1f} {_spent(one.what)}" for one in hours[:4])
    return (
        f"{tier} is all gone by {short_moment(leaves)}. Working back, it waited for {'; '.join(said)}. Of the "
        f"{total / 24:.1f} days to then: {most}."
    )


def _spent(what: str) -> str:
    """`closed`, `on press big`, `packing`, `waiting for masterbatch oat`: behind a number of days."""
    return f"on {what}" if what.startswith("press ") else what.removesuffix(" hours")


def worth_words(worth: Sequence[Worth], currency: str) -> str:
    """The dearest bottleneck in money, and the one in days."""
    saving = next((one for one in worth if one.saves_per_hour > 0.005), None)
    sooner = max(worth, key=lambda one: one.sooner_hours, default=None)
    said = []
    if saving:
        said.append(
            f"With {saving.what} the same order of work costs {money(saving.saves, currency)} less, "
            f"{money(saving.saves_per_hour, currency)} for each hour added."
        )
    if sooner and sooner.sooner_hours >= 1:
        said.append(f"With {sooner.what} the last parcel leaves {sooner.sooner_hours / 24:.1f} days sooner.")
    return (
        " ".join(said) or "No single press hour, person or setter more makes the same order of work cheaper or sooner."
    )
