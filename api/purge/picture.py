"""What every colour change on a barrel costs: for each colour in it, the colours that may follow, cheapest first.

A bar is the barrel with its colour; from it hang the changes, as deep as they take kilograms, drawn like the purge of
the floor's picture: what was there below the diagonal, what comes above it.
"""

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from api.languages import gettext, sentences, wording
from api.pictures.colours import Swatch, colour_of, swatches
from api.pictures.drawing import BOLD, cut_apart, draw, text_width
from api.purge.schemas import ColourChange, ColourChanges
from planner.campaign.materials import Look

MARGIN, GUTTER = 8.0, 112.0
NARROW = 560.0
"""Below this width a colour stands over its followers, not beside them."""
LEAST_CELL, MOST_CELL = 62.0, 124.0
DEEPEST, LEAST_DEEP = 56.0, 2.5
NAME_SIZE, SMALL = 10.5, 10.0
NARROW_NAME, WIDE_NAME = 226.0, GUTTER - MARGIN - 8
"""Room for the name of the colour in the barrel: beside its bar on a narrow sheet, under it on a wide one."""
LINE = 12.0


@dataclass(frozen=True)
class Follower:
    """A colour that may come next. x: its cell's middle; depth: its kilograms as they hang, user units."""

    swatch: Swatch
    name: list[str]
    x: float
    depth: float
    label: str
    notes: list[str]
    says: str


@dataclass(frozen=True)
class Bar:
    """One line of followers. y: the bar; right: its end."""

    y: float
    right: float
    followers: list[Follower]


@dataclass(frozen=True)
class Held:
    """A colour in the barrel. y: top of its row; names_y: where its name begins."""

    melt: str
    swatch: Swatch
    name: list[str]
    y: float
    bars: list[Bar]


@dataclass(frozen=True)
class _Sheet:
    """How a row is laid out. x0: left edge of followers; cell, wedge: width of one; per_line: how many in a line."""

    narrow: bool
    x0: float
    cell: float
    wedge: float
    per_line: int
    per_kg: float
    currency: str
    priced: bool
    one_resin: bool
    names: tuple[str, ...]


def changes_svg(said: ColourChanges, looks: Mapping[str, Look], width: float = 1000.0, only: str | None = None) -> str:
    """All rows under a heading; with `only`, the row of that melt alone, at the same scale and without heading."""
    colours = swatches(looks)
    sheet = _sheet(said, width)
    held = [] if only else _lines(_held(said), width)
    y = 0.0 if only else 30 + 14.0 * len(held)
    rows = []
    for melt in said.melts:
        if only in (None, melt.melt):
            row, y = _row(said, melt.melt, colours, sheet, y)
            rows.append(row)
    legend = [] if only else _lines(means(said), width)
    shown = {colour_of(melt.melt) for melt in said.melts}
    return draw(
        "colour_changes.svg",
        heading=None if only else _heading(said),
        held=held,
        described=_described(said, only),
        prefix=f"changes-{width:.0f}-" + (f"{[m.melt for m in said.melts].index(only)}-" if only else ""),
        used=[swatch for name, swatch in colours.items() if name in shown],
        rows=rows,
        sheet=sheet,
        margin=MARGIN,
        line=LINE,
        small=SMALL,
        legend=legend,
        legend_y=y + 14,
        width=width,
        height=y + (16 + 14 * len(legend) if legend else 0),
    )


def _sheet(said: ColourChanges, width: float) -> _Sheet:
    narrow = width < NARROW
    x0 = MARGIN if narrow else GUTTER
    room, count = width - x0 - MARGIN, max(1, len(said.melts) - 1)
    cell = min(MOST_CELL, max(LEAST_CELL, room / count))
    per_line = max(1, int(room / cell + 1e-9))
    if narrow:
        cell = room / per_line
    heaviest = max((change.kg for change in said.changes), default=0.0)
    one_resin = len({melt.melt.rpartition("/")[0] for melt in said.melts}) == 1
    return _Sheet(
        narrow=narrow,
        x0=x0,
        cell=cell,
        wedge=min(76.0, max(40.0, cell - 30)),
        per_line=per_line,
        per_kg=DEEPEST / heaviest if heaviest else 0.0,
        currency=said.currency,
        priced=_priced(said),
        one_resin=one_resin,
        names=tuple(colour_of(melt.melt) if one_resin else melt.melt for melt in said.melts),
    )


def _row(said: ColourChanges, melt: str, colours: dict[str, Swatch], sheet: _Sheet, y: float) -> tuple[Held, float]:
    """The row of one colour in the barrel, and where the next may begin."""
    changes = sorted(
        (change for change in said.changes if change.from_ == melt), key=lambda one: (one.money, one.kg, one.to)
    )
    name = _name(melt, sheet, NARROW_NAME, 13 * BOLD, 1) if sheet.narrow else _name(melt, sheet, WIDE_NAME, 12 * BOLD)
    bars, at = [], y + (30 if sheet.narrow else 0)
    for first in range(0, len(changes), sheet.per_line):
        followers = [
            _follower(change, colours, sheet, sheet.x0 + (n + 0.5) * sheet.cell)
            for n, change in enumerate(changes[first : first + sheet.per_line])
        ]
        bar_y = at + 32
        bars.append(Bar(bar_y, sheet.x0 + len(followers) * sheet.cell, followers))
        at = bar_y + max(f.depth + LINE * (1 + len(f.notes)) for f in followers) + 12
    end = max(at, y + (54 if sheet.narrow else 64 + LINE * len(name)))
    return Held(melt, colours[colour_of(melt)], name, y, bars), end


def _follower(change: ColourChange, colours: dict[str, Swatch], sheet: _Sheet, x: float) -> Follower:
    depth = max(LEAST_DEEP, change.kg * sheet.per_kg) if change.kg else 0.0
    notes = [_range(change)] if change.kg_p10 < change.kg_p90 else []
    if sheet.priced:
        notes.append(wording.money(change.money, sheet.currency))
    if change.compound_kg:
        notes.append(f"+ {gettext('compound')}")
    if change.basis in ("measured", "given"):
        notes.append(wording.whose_figure(change.basis))
    return Follower(
        swatch=colours[colour_of(change.to)],
        name=_name(change.to, sheet, sheet.cell - 2, NAME_SIZE),
        x=x,
        depth=depth,
        label=wording.kilograms(change.kg) if change.kg else gettext("nothing"),
        notes=notes,
        says=_says(change, sheet),
    )


def _says(change: ColourChange, sheet: _Sheet) -> str:
    """The change in words, for whoever points at it or hears it read."""
    told = gettext("%(old)s to %(new)s: %(kg)s (%(least)s to %(most)s), %(time)s") % {
        "old": change.from_,
        "new": change.to,
        "kg": wording.kilograms(change.kg),
        "least": wording.kilograms(change.kg_p10),
        "most": wording.kilograms(change.kg_p90),
        "time": wording.duration(change.minutes * 60),
    }
    if change.shots:
        shots = {"shots": wording.counted(change.shots, "shot")}
        told += f", {gettext('%(shots)s of it through the tool') % shots}"
    if sheet.priced:
        told += f", {wording.money(change.money, sheet.currency)}"
    if change.compound_kg:
        told += f"; {gettext('%(kg)s of it purging compound') % {'kg': wording.kilograms(change.compound_kg)}}"
    return f"{told}; {wording.whose_figure(change.basis)}: {sentences.said(change.because)}"


def _range(change: ColourChange) -> str:
    """`0.91–1.38`, both in kilograms."""
    places = 0 if change.kg_p90 >= 99.95 else 1 if change.kg_p90 >= 9.995 else 2
    return f"{wording.number(change.kg_p10, places)}–{wording.number(change.kg_p90, places)}"


def _name(melt: str, sheet: _Sheet, room: float, size: float, lines: int = 2) -> list[str]:
    """A melt's name in one line or two, cut so that no two look alike; its resin only where there are several."""
    name = colour_of(melt) if sheet.one_resin else melt
    if text_width(name, size) <= room:
        return [name]
    name = cut_apart(sheet.names, room * (1.8 if lines > 1 else 1.0), size)[name]
    if lines == 1 or text_width(name, size) <= room:
        return [name]
    fits = [n for n in range(1, len(name)) if text_width(name[:n], size) <= room]
    breaks = [n for n in fits if name[n - 1] in "/-_ " and text_width(name[n:], size) <= room]
    at = breaks[-1] if breaks else fits[-1]
    return [name[:at], name[at:]]


def _lines(text: str, width: float, size: float = SMALL) -> list[str]:
    """A text in lines as long as the sheet has room."""
    return textwrap.wrap(text, int((width - 2 * MARGIN) / text_width("n", size)))


def means(said: ColourChanges) -> str:
    """What the picture shows, in words."""
    told = gettext(
        "A bar is the barrel with a colour in it. From it hang the colours that may follow, cheapest first, as deep as "
        "the change takes kilograms. Below: the kilograms, and between which they fall four times in five (P10 to P90)"
    )
    if _priced(said):
        told += f"; {gettext('what the change costs, press time included')}"
    return f"{told}. {sentences.said(said.note)}"


def _priced(said: ColourChanges) -> bool:
    return any(change.money for change in said.changes)


def _held(said: ColourChanges) -> str:
    resins = {melt.melt.rpartition("/")[0] for melt in said.melts}
    told = gettext("%(kg)s of melt in the barrel") % {"kg": wording.kilograms(said.barrel.holdup_kg)}
    if said.barrel.hot_runner_kg:
        told += f", {gettext('%(kg)s in the hot runner') % {'kg': wording.kilograms(said.barrel.hot_runner_kg)}}"
    return f"{told}; {gettext('all colours in %(resin)s') % {'resin': resins.pop()}}" if len(resins) == 1 else told


def _heading(said: ColourChanges) -> str:
    barrel = {"n": said.barrel.barrel, "press": said.barrel.press}
    return gettext("Colour changes on barrel %(n)s of %(press)s") % barrel


def _described(said: ColourChanges, only: str | None) -> str:
    changes: Sequence[ColourChange] = [change for change in said.changes if only in (None, change.from_)]
    if not changes:
        return gettext("One colour alone: nothing to purge.")
    dear, cheap = (pick(changes, key=lambda change: (change.money, change.kg)) for pick in (max, min))
    return gettext(
        "%(changes)s. Dearest: %(dear_old)s to %(dear_new)s, %(dear_kg)s. Cheapest: %(old)s to %(new)s, %(kg)s."
    ) % {
        "changes": wording.counted(len(changes), "change"),
        "dear_old": dear.from_,
        "dear_new": dear.to,
        "dear_kg": wording.kilograms(dear.kg),
        "old": cheap.from_,
        "new": cheap.to,
        "kg": wording.kilograms(cheap.kg),
    }
