"""The slip table as a picture: for every tool and piece that may come late, how many days later each tier leaves.

Darker is later, but every cell says its days, and a triangle marks a broken promise: nothing is only a shade.
"""

from dataclasses import dataclass

from api.languages import gettext, wording
from api.languages.sentences import said
from api.pictures.colours import ink_on
from api.pictures.drawing import cut, cut_apart, draw, wrapped
from planner.slips.document import Cell, SlipRow, SlipTable, TierChange

HEAD, LINE, BETWEEN, GUTTER, APART = 46.0, 22.0, 22.0, 128.0, 8.0
NARROWEST = 46.0
"""Of a tier's own cell; below, a cell stands for all tiers and says the worst."""
ROOMY = 230.0
"""Of a cell for all tiers, in which there is room to name the worst."""
SHADES = ((0, "#fffdf8"), (2, "#e6dfcf"), (6, "#c9bfa6"), (13, "#8b826d"), (None, "#3f3a31"))
"""Days later up to which a shade stands; None: more."""


@dataclass(frozen=True)
class Box:
    """One cell as it is drawn. width: user units. fill: a shade, "" where the slip cannot be carried out."""

    x: float
    y: float
    width: float
    fill: str
    ink: str
    text: str
    broken: bool
    says: str


@dataclass(frozen=True)
class Block:
    """One tool or piece: its name, verdict, and a line of cells for each policy."""

    name: str
    verdict: str
    y: float
    lines: list[tuple[float, str]]
    boxes: list[Box]


@dataclass(frozen=True)
class SlipHead:
    """The head of a slip: `+3 days`, and the tiers under it."""

    days: int
    x: float
    width: float
    title: str
    tiers: list[tuple[float, str]]


def slips_svg(table: SlipTable, width: float = 1200.0) -> str:
    """Rows worst first, as in the table; columns are the slips, in each a cell a tier where there is room for that."""
    tiers = list(dict.fromkeys(t.tier for row in table.rows for cell in row.cells for t in cell.tiers))
    gap = APART if width >= 700 else 3.0
    across = (width - GUTTER - 4) / max(1, len(table.slips)) - gap
    apart = bool(tiers) and across / len(tiers) >= NARROWEST
    named = tiers if apart else []
    step = across / max(1, len(named))
    short = cut_apart(named, step, 10)
    columns = [
        SlipHead(
            days, x, across, f"+{wording.days(days)}" if across >= 64 else f"+{days}",
            [(x + step * (k + 0.5), short[tier]) for k, tier in enumerate(named)],
        )
        for n, days in enumerate(table.slips)
        for x in [GUTTER + n * (across + gap)]
    ]  # fmt: skip
    blocks, y = [], HEAD
    for row in table.rows:
        block = _block(row, columns, named, step, y)
        blocks.append(block)
        y += 16 + LINE * len(block.lines) + BETWEEN - 8
    left = GUTTER if width >= GUTTER + 58 * len(SHADES) else 8.0
    later = gettext("days later than planned") if apart else gettext("days later than planned, of the tier hit worst")
    notes = [later, f"▲ {gettext('after the promised day')}", gettext("crossed: cannot be carried out")]
    lines = wrapped(notes, width - left - 8)
    return draw(
        "slips.svg",
        width=width,
        height=y + 30 + 13 * len(lines),
        columns=columns,
        blocks=blocks,
        line=LINE,
        size=12 if step >= NARROWEST else 10,
        left=left,
        legend=[(left + 58 * n, fill, ink_on(fill), _upto(n)) for n, (_, fill) in enumerate(SHADES)],
        legend_y=y + 6,
        notes=lines,
        worst=not apart,
        slips=", ".join(f"+{wording.days(days)}" for days in table.slips),
    )


def _block(row: SlipRow, columns: list[SlipHead], tiers: list[str], step: float, y: float) -> Block:
    cells = {(cell.policy, cell.days): cell for cell in row.cells}
    policies = list(dict.fromkeys(cell.policy for cell in row.cells))
    lines: list[tuple[float, str]] = []
    boxes: list[Box] = []
    for n, policy in enumerate(policies):
        top = y + 16 + LINE * n
        lines.append((top, said(policy)))
        for column in columns:
            if cell := cells.get((policy, column.days)):
                boxes += _boxes(row.name, cell, tiers, column, step, top)
    return Block(row.name, said(row.verdict), y, lines, boxes)


def _boxes(name: str, cell: Cell, tiers: list[str], column: SlipHead, step: float, y: float) -> list[Box]:
    begins = gettext("%(what)s %(days)s late, %(policy)s") % {
        "what": name,
        "days": wording.days(cell.days),
        "policy": said(cell.policy),
    }
    if not cell.possible:
        cannot = gettext("cannot be carried out")
        return [Box(column.x, y, column.width, "", "#22201c", gettext("never"), True, f"{begins}: {cannot}")]
    if tiers:
        known = {change.tier: change for change in cell.tiers}
        shown = [(known[tier], column.x + step * k) for k, tier in enumerate(tiers) if tier in known]
        return [_box(begins, change, [change], x, y, step) for change, x in shown]
    if not cell.tiers:
        return []
    worst = max(cell.tiers, key=lambda change: (change.days, change.days_late))
    return [_box(begins, worst, cell.tiers, column.x, y, column.width)]


def _box(begins: str, worst: TierChange, of: list[TierChange], x: float, y: float, width: float) -> Box:
    fill = next(fill for most, fill in SHADES if most is None or worst.days <= most)
    later = [change for change in of if change.days > 0]
    text = _signed(worst.days)
    if len(of) > 1 and later and width >= ROOMY:
        text += f" {cut(worst.tier, width - 185, 12)}" + (
            ", " + gettext("%(n)s of %(all)s tiers") % {"n": len(later), "all": len(of)} if len(later) > 1 else ""
        )
    told = "; ".join(_told(change) for change in (later or of[:1]))
    return Box(x, y, width - 1.5, fill, ink_on(fill), text, any(map(_broken, of)), f"{begins}: {told}")


def _broken(change: TierChange) -> bool:
    """The slip itself breaks the promise: the tier leaves late, and later than it was planned."""
    return change.days > 0 and change.days_late > 0


def _told(change: TierChange) -> str:
    gone = gettext("all gone %(day)s") if change.after else gettext("never all gone")
    when = gone % {"day": wording.day(change.after)}
    after = gettext("%(days)s after the promised day") % {"days": wording.days(change.days_late)}
    late = f", {after}" if change.days_late else ""
    later, earlier = gettext("%(tier)s %(days)s later"), gettext("%(tier)s %(days)s earlier")
    told = (later if change.days > 0 else earlier) if change.days else gettext("%(tier)s as planned")
    return f"{told % {'tier': change.tier, 'days': wording.days(abs(change.days))}}, {when}{late}"


def _signed(days: int) -> str:
    return f"+{days}" if days > 0 else wording.number(days)


def _upto(place: int) -> str:
    if place == 0:
        return "0"
    last = SHADES[place - 1][0]
    assert last is not None
    most = SHADES[place][0]
    return f"{last + 1}+" if most is None else f"{last + 1}–{most}"
