"""The branches of a plan below one another: the same until the outcome is known, then each its own way."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from api.languages import gettext, wording
from api.languages.sentences import said
from api.pictures.colours import Swatch, colour_of, swatches
from api.pictures.drawing import cut, cut_apart, draw
from planner.campaign import Campaign
from planner.plan.averages import Branch, Branches, BranchRun

GUTTER, BAR, BETWEEN, HEAD = 124.0, 22.0, 8.0, 26.0


@dataclass(frozen=True)
class Bar:
    """One run. common: begun before the outcome is known."""

    x: float
    y: float
    width: float
    swatch: Swatch
    common: bool
    label: str
    says: str


@dataclass(frozen=True)
class Lane:
    """One press in one branch."""

    press: str
    y: float
    bars: list[Bar]


@dataclass(frozen=True)
class Way:
    """One branch."""

    title: str
    y: float
    lanes: list[Lane]


def either_way_svg(told: Branches, campaign: Campaign, start: datetime, width: float = 1200.0) -> str:
    """A block of lanes for each branch, on one scale of time."""
    colours = swatches(campaign.colours)
    last = max(run.end for branch in told.branches for run in branch.runs)
    span = max(1.0, (last - start).total_seconds())
    room = width - GUTTER - 12

    def x(at: datetime) -> float:
        return GUTTER + room * (at - start).total_seconds() / span

    ways, y = [], 8.0
    for branch in told.branches:
        top, y = y, y + HEAD
        lanes = []
        for press in dict.fromkeys(run.press for run in branch.runs):
            bars = [_bar(run, x, y, colours) for run in branch.runs if run.press == press]
            lanes.append(Lane(press, y, bars))
            y += BAR + BETWEEN
        ways.append(Way(_title(branch), top, lanes))
        y += 10
    names = list(dict.fromkeys(lane.press for way in ways for lane in way.lanes))
    used = {bar.swatch.id: bar.swatch for way in ways for lane in way.lanes for bar in lane.bars}
    return draw(
        "either_way.svg", told=told, ways=ways, known_x=x(told.known), width=width, height=y + 26, bar=BAR,
        short=cut_apart(names, GUTTER - 14, 12), used=used.values(), gutter=GUTTER,
    )  # fmt: skip


def _title(branch: Branch) -> str:
    return gettext("If %(what)s (%(chance)s)") % {"what": said(branch.words), "chance": wording.per_cent(branch.chance)}


def _bar(run: BranchRun, x: Callable[[datetime], float], y: float, colours: dict[str, Swatch]) -> Bar:
    says = gettext("%(tool)s in %(melts)s, %(shots)s, from %(begin)s to %(end)s") % {
        "tool": run.tool,
        "melts": " + ".join(run.melts),
        "shots": wording.counted(run.shots, "shot"),
        "begin": wording.moment(run.begin),
        "end": wording.moment(run.end),
    }
    says += f"; {gettext('the same either way')}" if run.common else ""
    left = x(run.begin)
    wide = max(1.5, x(run.end) - left)
    return Bar(left, y, wide, colours[colour_of(run.melts[0])], run.common, cut(run.tool, wide - 6), says)
