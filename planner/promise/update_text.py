"""The update for supporters as text: Markdown to edit and send, HTML to paste."""

from collections.abc import Sequence
from datetime import date
from html import escape

from planner.campaign.carriers import ELSEWHERE
from planner.plan.phrases import days
from planner.promise.supporters import first_up
from planner.promise.update import BrokenPromise, RegionNews, TierNews, Update

HEADINGS = ("Tier", "Packed", "To come", "All sent by", "What changed")
BROKEN, CHANGES = "Dates we cannot keep", "What has happened since"


def day(when: date) -> str:
    """`19 February 2027`."""
    return f"{when.day} {when:%B %Y}"


def broken_words(one: BrokenPromise) -> str:
    """A broken promise in plain words, with its reason."""
    given = []
    door = " at the door" if one.promised_to == "door" else ""
    who = _to(one.tier, one.region)
    if one.promised is not None:
        given.append(f"promised{door} by {day(one.promised)}")
    if one.announced is not None and one.new:
        given.append(f"{'last ' * bool(given)}announced for {day(one.announced)}")
    if not one.new and one.day is not None and one.announced is not None:
        sooner = (one.announced - one.day).days
        how = "as announced" if sooner == 0 else f"{days(sooner)} sooner than announced last"
        said = f"{who} is still late: {given[0]}; now by {day(one.day)}, {how}."
    elif one.day is None:
        said = f"{who} has no date any more: {', '.join(given)}; we cannot name a day yet."
    else:
        first = one.promised or one.announced
        later = days((one.day - first).days) if first else ""
        will = "will be late" if one.sure else "may be late"
        said = f"{who} {will}: {', '.join(given)}; the day we can stand by is now {day(one.day)}, {later} later."
    return f"{said} {first_up(one.why)}." if one.why else said


def markdown(update: Update) -> str:
    """As Markdown: as it was sent, where the maker wrote it anew."""
    if update.text:
        return update.text
    lines = [f"# {_md(update.title)}", ""]
    if update.broken:
        lines += [f"## {BROKEN}", "", *(f"- {_md(broken_words(one))}" for one in update.broken), ""]
    lines += [_standing(update), "", _md_row(HEADINGS), _md_row(["---"] * len(HEADINGS))]
    lines += [_md_row([_md(cell) for cell in row]) for row in _rows(update)]
    if update.changes:
        lines += ["", f"## {CHANGES}", "", *(f"- {_md(first_up(change))}" for change in update.changes)]
    return "\n".join(lines) + "\n"


def html(update: Update) -> str:
    """As a fragment of HTML, to be pasted into a page or a mail. A text of the maker's own stands as it was typed."""
    if update.text:
        return "".join(f"<p>{escape(part)}</p>\n" for part in update.text.split("\n\n") if part.strip())
    head = "".join(f'<th scope="col">{escape(h)}</th>' for h in HEADINGS)
    rows = "\n".join(
        f'<tr><th scope="row">{escape(row[0])}</th>' + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:]) + "</tr>"
        for row in _rows(update)
    )
    parts = [f"<h1>{escape(update.title)}</h1>"]
    if update.broken:
        parts.append(_list(BROKEN, [broken_words(one) for one in update.broken]))
    parts += [
        f"<p>{escape(_standing(update))}</p>",
        f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>",
    ]
    if update.changes:
        parts.append(_list(CHANGES, [first_up(change) for change in update.changes]))
    return "\n".join(parts) + "\n"


def _moved(news: TierNews | RegionNews) -> str:
    """Against what was announced last; where nothing was, against what was promised."""
    if news.day is None:
        return ""
    given, said = (news.before, "announced") if news.before is not None else (news.promised, "promised")
    if given is None:
        return "first date"
    moved = (news.day - given).days
    if moved == 0:
        return f"as {said}"
    return f"{days(abs(moved))} {'later' if moved > 0 else 'earlier'} than {said} ({day(given)})"


def _rows(update: Update) -> list[tuple[str, str, str, str, str]]:
    """A row for each tier; where days are promised by region, or at the door, one for each region under it."""
    rows = []
    for n in update.tiers:
        said = (n.why,) if n.regions else (_moved(n), n.why)
        rows.append((n.tier, str(n.packed), str(n.parcels), _by(n.day), "; ".join(filter(None, said))))
        for one in n.regions:
            door = " at the door" if one.promised_to == "door" and one.day else ""
            rows.append((_to(n.tier, one.region), "", str(one.parcels), _by(one.day) + door, _moved(one)))
    return rows


def _to(tier: str, region: str) -> str:
    """A tier's parcels for a region; the tier where all regions are meant."""
    if not region:
        return tier
    place = "the world" if region == ELSEWHERE else region
    return f"{tier} to {place}"


def _by(when: date | None) -> str:
    return day(when) if when else "no date yet"


def _standing(update: Update) -> str:
    return (
        f"Where things stand on {day(update.as_of)}. Each date is the day by which the last parcel has left in "
        f"at least {update.confidence:.0%} of {update.replications} simulations of what can still happen; in up to "
        f"{1 - update.confidence:.0%} of them it is later."
    )


def _md_row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cells) + " |"


def _md(text: str) -> str:
    """Text that stays text: no markup, no broken table."""
    for mark in "\\`*_{}[]<>#|":
        text = text.replace(mark, "\\" + mark)
    return " ".join(text.split())


def _list(heading: str, items: Sequence[str]) -> str:
    inside = "".join(f"<li>{escape(item)}</li>" for item in items)
    return f"<h2>{escape(heading)}</h2>\n<ul>{inside}</ul>"
