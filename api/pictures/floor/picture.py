"""The sheet put together."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from api.languages import gettext, wording
from api.pictures.colours import Swatch, swatches
from api.pictures.drawing import BOLD, Name, cut_apart, draw, text_width, wrapped
from api.pictures.floor import beneath, lanes
from api.pictures.floor.beneath import BenchRow, Row
from api.pictures.floor.hours import closed, of_others, opening
from api.pictures.floor.lanes import Lane
from api.pictures.floor.scale import GUTTER, MARGIN, Scale
from api.services.standing_promise import Sure
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.document import Run
from planner.plan.run_names import RunNames

HEAD = 46.0
LANE = 92.0
BENCH = 24.0
TIER = 30.0
LEGEND_COLUMN = 132
LEGEND_LINE = 22
TAG = 130.0
"""Room for a tool's name over its first run, user units."""
UNZOOMED = 1200.0
"""Width of the sheet where nobody zooms, user units."""
LONGER = 1.4
"""How much longer than the plan itself the sheet may be, so that it shows how sure the last days are."""


@dataclass(frozen=True)
class Window:
    """What of the plan to show. first: day at the left edge, None: the plan's. days: how many, None: to the end.

    presses: which ones, none named: all. width: of the sheet, user units.
    """

    first: date | None = None
    days: int | None = None
    presses: tuple[str, ...] = ()
    width: float = UNZOOMED


def scale_of(plan: RunPlan, window: Window, longest: date | None = None) -> Scale:
    """From the window, or over all the plan with its promised days. longest: a later day to show, within reason."""
    ends = [d.at.date() for d in plan.dispatches] + [r.end.date() for r in plan.runs]
    ends += [t.promised for t in plan.tiers if t.promised is not None]
    first = window.first or plan.start.date()
    count = max(1, (max(ends, default=first) - first).days + 1)
    if longest is not None:
        count = max(count, min((longest - first).days + 1, round(count * LONGER)))
    return Scale(ZoneInfo(plan.time_zone), first, window.days or count, window.width)


@dataclass(frozen=True)
class Links:
    """For a page: the addresses to which runs, each by its id, and bench jobs lead."""

    runs: str
    parcels: str


def floor_svg(
    plan: RunPlan,
    campaign: Campaign,
    window: Window | None = None,
    sure: dict[str, Sure] | None = None,
    links: Links | None = None,
) -> str:
    """The picture. sure: by tier, once simulated. links: for a page; otherwise a file that stands alone."""
    window = window or Window()
    known = sure or {}
    scale = scale_of(plan, window, max((one.p95 for one in known.values()), default=None))
    by_press = _by_press(plan, campaign, window)
    colours = swatches(campaign.colours)
    items = {(one.part, tuple(one.colours)): number for number, one in enumerate(plan.balance)}
    drawn = _presses(plan, campaign, scale, by_press, colours, items)
    benches = _benches(plan, campaign, scale, HEAD + LANE * len(drawn) + 10, items)
    tiers_y = benches[-1].y + BENCH + 18
    tiers = beneath.rows(plan, scale, tiers_y, TIER, known)
    legend_y = tiers_y + TIER * len(tiers) + 22
    seen = min(scale.width, UNZOOMED) - GUTTER - MARGIN  # what stands under a wide sheet is read without moving it
    used = [colours[name] for name in shown_colours(drawn)]
    legend, lines = _legend(used, legend_y, seen)
    notes = wrapped(
        _notes(
            beneath.upright(known.values()) if any(row.band or row.beyond for row in tiers) else "",
            any(lane.others for lane, _ in drawn),
        ),
        seen,
    )
    return draw(
        "floor.svg",
        title=gettext("The floor of %(name)s, %(from)s, %(days)s")
        % {"name": plan.name, "from": wording.day(scale.first), "days": wording.days(scale.count)},
        desc=_desc(plan, by_press),
        role="group" if links else "img",
        scale=scale,
        days=scale.days(),
        names=_names([lane for lane, _ in drawn], benches, tiers),
        lanes=drawn,
        benches=benches,
        tiers=tiers,
        legend=legend,
        used=used,
        notes=notes,
        note_x=GUTTER,
        height=legend_y + LEGEND_LINE * lines + 8 + 13 * len(notes),
        legend_y=legend_y,
        gutter=GUTTER,
        right=scale.width - MARGIN,
        tall=lanes.TALL,
        upper=lanes.UPPER,
        framed=links is not None,
        links=links,
    )


def _by_press(plan: RunPlan, campaign: Campaign, window: Window) -> dict[str, list[Run]]:
    """Runs of each press that the window shows, in the order of the sheet; presses without any too."""
    found: dict[str, list[Run]] = {
        press: [] for press in window.presses or campaign.presses if press in campaign.presses
    }
    for run in plan.runs:
        if run.press in found:
            found[run.press].append(run)
    return found


def _presses(
    plan: RunPlan,
    campaign: Campaign,
    scale: Scale,
    by_press: dict[str, list[Run]],
    colours: dict[str, Swatch],
    items: lanes.Items,
) -> list[tuple[Lane, list[bool]]]:
    """A lane a press, one below the other, and which of its colour changes have room for their kilograms."""
    drawn = []
    called = RunNames(plan.runs)
    heaviest = max((sum(p.kg for p in r.changeover.purges) for r in plan.runs if r.changeover), default=0.0)
    tools = cut_apart(list(campaign.tools), TAG)
    for n, (press, runs) in enumerate(by_press.items()):
        lane = Lane(press, HEAD + LANE * n, len(runs))
        lane.blocks = [b for run in runs if (b := lanes.block(run, scale, colours, items, called))]
        lane.changes = [c for run in runs if (c := lanes.change(run, scale, colours, heaviest or 1.0, called))]
        lane.closed = closed(opening(campaign.presses[press], campaign, scale), scale)
        lane.others = of_others(campaign.presses[press], campaign, scale)
        lane.tools = tool_tags(lane, tools, scale.width - MARGIN)
        drawn.append((lane, lanes.spread(lane.changes)))
    return drawn


def _benches(plan: RunPlan, campaign: Campaign, scale: Scale, top: float, items: lanes.Items) -> list[BenchRow]:
    """Work before assembly, assembly and packing, each a row, the last at the bottom."""
    finishing = beneath.finishing(plan, campaign, scale, top, BENCH)
    below = top + BENCH * len(finishing)
    return [
        *finishing,
        beneath.assembly(plan, campaign, scale, below, items),
        beneath.packing(plan, campaign, scale, below + BENCH),
    ]


def _names(presses: list[Lane], benches: list[BenchRow], tiers: list[Row]) -> list[Name]:
    """What stands at the left of each row, as far as the gutter holds it."""
    names = []
    short = cut_apart([lane.press for lane in presses], GUTTER - 10, 14 * BOLD)
    for lane in presses:
        names += [
            Name(lane.y + 32, short[lane.press], "press"),
            Name(lane.y + 46, wording.counted(lane.runs, "run")),
        ]
    short = cut_apart([bench.name for bench in benches], GUTTER - 10)
    names += [Name(bench.y + 13, short[bench.name]) for bench in benches]
    short = cut_apart([row.tier for row in tiers], GUTTER - 10, 11 * BOLD)
    for row in tiers:
        names += [Name(row.y + 12, short[row.tier], "strong"), Name(row.y + 23, row.verdict, "soft")]
    return names


def _legend(used: list[Swatch], top: float, width: float) -> tuple[list[tuple[Swatch, float, float, str]], int]:
    """(swatch, x, y, name) of each colour on the sheet, as many beside each other as the width holds; and how many
    lines they fill."""
    short = cut_apart([swatch.name for swatch in used], 98)
    per_row = max(1, int(width // LEGEND_COLUMN))
    placed = [
        (
            swatch,
            GUTTER + LEGEND_COLUMN * (n % per_row),
            top + LEGEND_LINE * (n // per_row),
            short[swatch.name],
        )
        for n, swatch in enumerate(used)
    ]
    return placed, -(-len(used) // per_row)


def _notes(simulated: str, shared: bool) -> list[str]:
    return [
        gettext("black on the shelf: mounting a tool"),
        gettext("hanging below: purge, from one colour to the next"),
        gettext("grey: closed"),
        *([gettext("crossed: others' work")] if shared else []),
        gettext("dot: parcels leave"),
        gettext("flag: promised day"),
        *(
            [
                gettext("hatched: last parcel gone, from even odds (P50) to almost certain (P95)"),
                simulated,
            ]
            if simulated
            else []
        ),
    ]


def _desc(plan: RunPlan, by_press: dict[str, list[Run]]) -> str:
    """The picture in a few words, for whoever hears it."""
    presses = ", ".join(f"{press}: {wording.counted(len(runs), 'run')}" for press, runs in by_press.items())
    return gettext("Presses: %(presses)s. Below them the benches and the pick-ups: %(tiers)s.") % {
        "presses": presses,
        "tiers": beneath.all_gone(plan),
    }


def tool_tags(lane: Lane, short: Mapping[str, str], right: float) -> list[tuple[float, float, str]]:
    """(where it stands, where its name begins, name) of each tool that comes into the press, where there is room.

    short: tool -> what of its name is written, no two alike. right: the sheet's edge, which no name crosses.
    """
    tags: list[tuple[float, float, str]] = []
    mounted, free = "", 0.0
    for block in lane.blocks:
        if block.run.tool != mounted:
            mounted = block.run.tool
            at, width = max(block.x, GUTTER), text_width(short[mounted])
            name_at = min(at + 3, right - width)
            if name_at >= free:
                tags.append((at, name_at, short[mounted]))
                free = name_at + width + 10
    return tags


def shown_colours(drawn: list[tuple[Lane, list[bool]]]) -> Collection[str]:
    """Ids of the colours that are on the sheet, in order of appearance."""
    seen: dict[str, None] = {}
    for lane, _ in drawn:
        for change in lane.changes:
            seen |= {swatch.name: None for swatch in (change.before, change.after) if swatch}
        for block in lane.blocks:
            seen |= {swatch.name: None for swatch in block.colours}
    return list(seen)
