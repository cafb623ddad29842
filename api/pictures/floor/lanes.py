"""The presses: runs as swatches standing on a shelf, what each colour change wastes hanging below it."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from api.languages import gettext, wording
from api.languages.run_words import named_run, said_of
from api.pictures.colours import Swatch, colour_of
from api.pictures.drawing import text_width
from api.pictures.floor.scale import Scale
from planner.campaign.unknown_melts import UNKNOWN
from planner.plan.document import Changeover, Purge, Run
from planner.plan.run_names import RunNames

Items = dict[tuple[str, tuple[str, ...]], int]
"""Moulded items, numbered: which run makes what a bench job takes."""

TALL = 30.0
"""Height of a swatch, user units."""
UPPER = 18.0
"""Of it, the first barrel's share where there are two."""
DEEPEST = 20.0
"""How far the largest purge hangs."""


@dataclass(frozen=True)
class Piece:
    """One stretch of a run: x, width."""

    x: float
    width: float


@dataclass(frozen=True)
class Block:
    """A run as it is drawn. colours: swatches of its barrels, the first above. label: what fits on it, or nothing."""

    run: Run
    colours: list[Swatch]
    pieces: list[Piece]
    x: float
    width: float
    label: str
    label_x: float
    label_width: float
    says: str
    makes: list[int]


@dataclass(frozen=True)
class ChangeMark:
    """A changeover as it is drawn. before, after: swatches by barrel; depth: how far its purge hangs."""

    x: float
    width: float
    mount_width: float
    before: Swatch | None
    after: Swatch | None
    depth: float
    kg: float
    label: str
    mounts: str
    says: str


@dataclass
class Lane:
    """One press. y: top. closed, others: stretches in which it is closed, and in which others work on it."""

    press: str
    y: float
    runs: int
    blocks: list[Block] = field(default_factory=list)
    changes: list[ChangeMark] = field(default_factory=list)
    closed: list[tuple[float, float]] = field(default_factory=list)
    others: list[tuple[float, float]] = field(default_factory=list)
    tools: list[tuple[float, float, str]] = field(default_factory=list)


def block(
    run: Run,
    scale: Scale,
    colours: dict[str, Swatch],
    items: dict[tuple[str, tuple[str, ...]], int],
    called: RunNames,
) -> Block | None:
    """The run's swatch, if the sheet shows any of it."""
    whole = scale.clipped(run.start, run.end, 1.0)
    if whole is None:
        return None
    spans = [scale.clipped(one.start, one.end, 0.8) for one in run.stretches] or [whole]
    pieces = [Piece(*span) for span in spans if span]
    names = [colour_of(melt) for melt in run.melts]
    widest = max(pieces, key=lambda p: p.width, default=Piece(*whole))
    label = _fitting(widest.width - 4, [f"{names[0]} · {wording.number(run.shots)}", names[0]])
    shown = [colours[name] for name in names]
    return Block(
        run, shown, pieces, *whole, label, widest.x + 2, text_width(label) + 4, told(run, called),
        [items[part.part, tuple(part.colours)] for part in run.parts],
    )  # fmt: skip


def change(
    run: Run, scale: Scale, colours: dict[str, Swatch], largest_kg: float, called: RunNames
) -> ChangeMark | None:
    """What stands before the run, if it has a changeover the sheet shows."""
    it = run.changeover
    if it is None:
        return None
    span = scale.clipped(it.start, it.end, 1.5)
    if span is None:
        return None
    kg = sum(purge.kg for purge in it.purges)
    worst = max(it.purges, key=lambda purge: purge.kg, default=None)
    mounts = run.tool if it.mount_seconds else ""
    mount = scale.per_second * (it.warm_up_seconds + it.mount_seconds)
    return ChangeMark(
        x=span[0],
        width=span[1],
        mount_width=min(mount, span[1]) if it.mount_seconds else 0,
        before=colours[colour_of(worst.from_)] if worst and worst.from_ != UNKNOWN else None,
        after=colours[colour_of(worst.to)] if worst else None,
        depth=max(3.0, DEEPEST * (kg / largest_kg) ** 0.5) if kg else 0,
        kg=kg,
        label=wording.kilograms(kg) if kg else "",
        mounts=mounts,
        says=told_change(run, it, called),
    )


def spread(changes: Iterable[ChangeMark], between: float = 3.0) -> list[bool]:
    """Which of the labels, hung one beside the other, can be read: the heavier of two that collide stays."""
    listed = list(changes)
    shown = [False] * len(listed)
    taken: list[tuple[float, float]] = []
    for place in sorted(range(len(listed)), key=lambda n: (-listed[n].kg, n)):
        one = listed[place]
        half = text_width(one.label, 10) / 2 + between
        centre = one.x + max(one.width, 7) / 2
        if one.kg and all(centre + half <= left or centre - half >= right for left, right in taken):
            taken.append((centre - half, centre + half))
            shown[place] = True
    return shown


def told(run: Run, called: RunNames) -> str:
    """The run in words, for whoever points at it or hears it read."""
    makes = ", ".join(f"{wording.number(part.good)} {part.part} {'/'.join(part.colours)}" for part in run.parts)
    waits = f"; {wording.who_stays(run)}" if run.operators else ""
    waits += "; " + gettext("waited for %(what)s") % {"what": said_of(run.waits_for, called)} if run.waits_for else ""
    told_run = gettext("%(run)s: %(melts)s, %(shots)s, %(from)s to %(to)s; makes %(makes)s") % {
        "run": named_run(called[run.id]),
        "melts": " + ".join(run.melts),
        "shots": wording.counted(run.shots, "shot"),
        "from": wording.moment(run.start),
        "to": wording.moment(run.end),
        "makes": makes,
    }
    return told_run + waits


def told_change(run: Run, it: Changeover, called: RunNames) -> str:
    """The changeover in words."""
    before = gettext("Changeover before %(run)s, %(from)s to %(to)s, %(time)s") % {
        "run": named_run(called[run.id]),
        "from": wording.moment(it.start),
        "to": f"{it.end:%H:%M}",
        "time": wording.duration(it.end.timestamp() - it.start.timestamp()),
    }
    parts = [before]
    if it.after_others:
        parts.append(wording.others_left(it.after_others))
    if it.mount_seconds:
        mounted = gettext("mount %(tool)s in place of %(other)s") if it.from_tool else gettext("mount %(tool)s")
        parts.append(mounted % {"tool": run.tool, "other": it.from_tool})
    parts += map(_purge, it.purges)
    if it.startup_shots:
        parts.append(wording.counted(it.startup_shots, "start-up shot"))
    return "; ".join(parts)


def _purge(purge: Purge) -> str:
    through = gettext("purge %(place)s from %(old)s to %(new)s: %(kg)s in %(shots)s through the tool (%(basis)s)")
    open_air = gettext("purge %(place)s from %(old)s to %(new)s: %(kg)s (%(basis)s)")
    told_purge = (through if purge.shots else open_air) % {
        "place": wording.place(purge.where, purge.barrel),
        "old": purge.from_,
        "new": purge.to,
        "kg": wording.kilograms(purge.kg),
        "shots": wording.counted(purge.shots, "shot"),
        "basis": wording.whose_figure(purge.basis),
    }
    if not purge.compound_kg:
        return told_purge
    return f"{told_purge}, {gettext('%(kg)s of it purging compound') % {'kg': wording.kilograms(purge.compound_kg)}}"


def _fitting(room: float, wishes: list[str]) -> str:
    return next((wish for wish in wishes if text_width(wish) + 4 <= room), "")
