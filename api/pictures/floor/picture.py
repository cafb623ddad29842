"""The sheet put together."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from api.pictures.colours import swatches
from api.pictures.drawing import draw
from api.pictures.floor import beneath, lanes
from api.pictures.floor.hours import closed, opening
from api.pictures.floor.lanes import Lane
from api.pictures.floor.scale import GUTTER, MARGIN, Scale
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.document import Run

HEAD = 46.0
LANE = 92.0
BENCH = 24.0
TIER = 30.0


@dataclass(frozen=True)
class Window:
    """What of the plan to show. first: day at the left edge, None: the plan's. days: how many, None: to the end.

    presses: which ones, none named: all. width: of the sheet, user units.
    """

    first: date | None = None
    days: int | None = None
    presses: tuple[str, ...] = ()
    width: float = 1200.0


def scale_of(plan: RunPlan, window: Window) -> Scale:
    """From the window, or over all the plan with its promised days."""
    ends = [d.at.date() for d in plan.dispatches] + [r.end.date() for r in plan.runs]
    ends += [t.promised for t in plan.tiers if t.promised is not None]
    first = window.first or plan.start.date()
    last = max(ends, default=first)
    count = window.days or max(1, (last - first).days + 1)
    return Scale(ZoneInfo(plan.time_zone), first, count, window.width)


def floor_svg(plan: RunPlan, campaign: Campaign, window: Window | None = None, runs_at: str = "") -> str:
    """The picture. runs_at: for a page, the address its swatches link to; otherwise a file that stands alone."""
    window = window or Window()
    scale = scale_of(plan, window)
    wanted = window.presses or tuple(campaign.presses)
    by_press: dict[str, list[Run]] = {press: [] for press in wanted if press in campaign.presses}
    for run in plan.runs:
        if run.press in by_press:
            by_press[run.press].append(run)
    colours = swatches(campaign)
    items = {(one.part, tuple(one.colours)): number for number, one in enumerate(plan.balance)}
    y, drawn = HEAD, []
    heaviest = max((sum(p.kg for p in r.changeover.purges) for r in plan.runs if r.changeover), default=0.0)
    for press, runs in by_press.items():
        lane = Lane(press, y, len(runs))
        lane.blocks = [b for run in runs if (b := lanes.block(run, scale, colours, items))]
        lane.changes = [c for run in runs if (c := lanes.change(run, scale, colours, heaviest or 1.0))]
        lane.closed = closed(opening(campaign.presses[press], campaign, scale), scale)
        lane.tools = tool_tags(lane)
        drawn.append((lane, lanes.spread(lane.changes)))
        y += LANE
    bench_y = y + 10
    tiers_y = bench_y + 2 * BENCH + 18
    tiers = beneath.rows(plan, scale, tiers_y, TIER)
    legend_y = tiers_y + TIER * len(tiers) + 22
    used = shown_colours(drawn)
    per_row = max(1, int((scale.width - GUTTER - MARGIN) // 132))
    return draw(
        "floor.svg",
        plan=plan,
        scale=scale,
        days=scale.days(),
        lanes=drawn,
        benches=[beneath.assembly(plan, campaign, scale, bench_y, items),
                 beneath.packing(plan, campaign, scale, bench_y + BENCH)],
        tiers=tiers,
        tiers_y=tiers_y,
        legend=[(colours[name], GUTTER + 132 * (n % per_row), legend_y + 22 * (n // per_row))
                for n, name in enumerate(used)],
        used=[colours[name] for name in used],
        height=legend_y + 22 * -(-len(used) // per_row) + 30,
        legend_y=legend_y,
        gutter=GUTTER,
        right=scale.width - MARGIN,
        tall=lanes.TALL,
        upper=lanes.UPPER,
        inline=bool(runs_at),
        runs_at=runs_at,
    )  # fmt: skip


def tool_tags(lane: Lane) -> list[tuple[float, str]]:
    """The tool's name where it comes into the press (or at the sheet's edge), where there is room to read it."""
    tags: list[tuple[float, str]] = []
    mounted, free = "", 0.0
    for block in lane.blocks:
        if block.run.tool != mounted:
            mounted = block.run.tool
            x = max(block.x, GUTTER)
            if x >= free:
                tags.append((x, mounted))
                free = x + len(mounted) * 6.6 + 14
    return tags


def shown_colours(drawn: list[tuple[Lane, list[bool]]]) -> Collection[str]:
    """Ids of the colours that are on the sheet, in order of appearance."""
    seen: dict[str, None] = {}
    for lane, _ in drawn:
        for change in lane.changes:
            seen |= {swatch.id: None for swatch in (change.before, change.after) if swatch}
        for block in lane.blocks:
            seen |= {swatch.id: None for swatch in block.colours}
    return list(seen)
