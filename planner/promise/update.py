"""The update for supporters: where things stand by tier, what changed since the last one and why. Markdown and HTML.

Every date in it is the day by which the simulation has a tier's last parcel gone on at least the chosen share of
floors; a tier for which there is no such day gets none.
"""

from collections.abc import Sequence
from datetime import date
from html import escape
from typing import Literal

from pydantic import Field

from planner.plan.document import PlanPart
from planner.promise.document import Promise


class TierNews(PlanPart):
    """One line of the update."""

    tier: str
    parcels: int = Field(description="still to leave")
    packed: int = Field(description="packed already")
    day: date | None = Field(description="the day to announce at the confidence; null: none can be named")
    before: date | None = Field(description="what was announced last; null: nothing yet")
    why: str = Field(description="what spreads or moved the date, in words; empty: nothing to say")


class Update(PlanPart):
    """An update as it was made: kept, so that the next one can say what changed."""

    document: Literal["update/1"] = "update/1"
    title: str
    as_of: date
    confidence: float
    floors: int
    tiers: list[TierNews]
    changes: list[str] = Field(description="what changed since the last update, in words, from the records only")


def make_update(
    title: str,
    promise: Promise,
    as_of: date,
    packed: dict[str, int],
    last: Update | None = None,
    changes: Sequence[str] = (),
) -> Update:
    """Read an update off a promise. packed: tier -> parcels packed. changes: recorded changes since the last one."""
    before = {t.tier: t.day for t in last.tiers} if last else {}
    news = []
    for tier in promise.tiers:
        was = before.get(tier.tier)
        why = ""
        if tier.announce is None:
            why = "no day can be named with this confidence"
        elif tier.drivers and (was is None or was != tier.announce):
            why = f"what decides it most: {tier.drivers[0].about}"
        news.append(
            TierNews(
                tier=tier.tier,
                parcels=tier.parcels,
                packed=packed.get(tier.tier, 0),
                day=tier.announce,
                before=was,
                why=why,
            )
        )
    gone = [t for t in before if t not in {n.tier for n in news}]
    finished = [f"{tier}: every parcel is packed" for tier in gone]
    return Update(
        title=title,
        as_of=as_of,
        confidence=promise.confidence,
        floors=promise.floors,
        tiers=news,
        changes=[*finished, *changes],
    )


def _moved(news: TierNews) -> str:
    if news.before is None or news.day is None:
        return "first date" if news.day is not None else ""
    days = (news.day - news.before).days
    if days == 0:
        return "as before"
    return f"{abs(days)} day{'s' * (abs(days) != 1)} {'later' if days > 0 else 'earlier'} than {_day(news.before)}"


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _rows(update: Update) -> list[tuple[str, str, str, str, str]]:
    return [
        (
            n.tier,
            str(n.packed),
            str(n.parcels),
            _day(n.day) if n.day else "no date yet",
            "; ".join(text for text in (_moved(n), n.why) if text),
        )
        for n in update.tiers
    ]


HEADINGS = ("Tier", "Packed", "To come", "All sent by", "What changed")


def _standing(update: Update) -> str:
    chance = f"{update.confidence:.0%}"
    return (
        f"Where things stand on {_day(update.as_of)}. Each date is the day by which the last parcel of a tier has left "
        f"in at least {chance} of {update.floors} simulated runs of the plan; so in up to {1 - update.confidence:.0%} "
        "of cases it will be later."
    )


def markdown(update: Update) -> str:
    """As Markdown."""
    lines = [f"# {_md(update.title)}", "", _standing(update), "", _md_row(HEADINGS), _md_row(["---"] * len(HEADINGS))]
    lines += [_md_row([_md(cell) for cell in row]) for row in _rows(update)]
    if update.changes:
        lines += ["", "## Changes", "", *(f"- {_md(change)}" for change in update.changes)]
    return "\n".join(lines) + "\n"


def _md_row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cells) + " |"


def _md(text: str) -> str:
    """Text that stays text: no markup, no broken table."""
    for mark in "\\`*_{}[]<>#|":
        text = text.replace(mark, "\\" + mark)
    return " ".join(text.split())


def html(update: Update) -> str:
    """As a fragment of HTML, to be pasted into a page or a mail."""
    head = "".join(f'<th scope="col">{escape(h)}</th>' for h in HEADINGS)
    rows = "\n".join(
        f'<tr><th scope="row">{escape(row[0])}</th>' + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:]) + "</tr>"
        for row in _rows(update)
    )
    parts = [
        f"<h1>{escape(update.title)}</h1>",
        f"<p>{escape(_standing(update))}</p>",
        f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>",
    ]
    if update.changes:
        items = "".join(f"<li>{escape(change)}</li>" for change in update.changes)
        parts.append(f"<h2>Changes</h2>\n<ul>{items}</ul>")
    return "\n".join(parts) + "\n"
