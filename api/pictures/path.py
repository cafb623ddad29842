"""The way each barrel goes through the colours, and what each step of it wastes."""

from dataclasses import dataclass

from api.languages import gettext, wording
from api.pictures.colours import Swatch, colour_of, swatches
from api.pictures.drawing import BOLD, cut_apart, draw
from planner.campaign import Campaign
from planner.plan import RunPlan

GUTTER = 124.0
"""Where the colours begin, right of the barrels' names."""
CHIP, BETWEEN = 86.0, 58.0
ROW = 78.0
DEEPEST = 26.0


@dataclass(frozen=True)
class Step:
    """One melt in the barrel. kg: purged to get to it, barrel and hot runner; depth: how far that hangs."""

    melt: str
    swatch: Swatch
    x: float
    y: float
    runs: int
    kg: float
    depth: float
    before: Swatch | None
    says: str


@dataclass(frozen=True)
class Path:
    """One barrel's way. total_kg: purged in it."""

    name: str
    y: float
    steps: list[Step]
    total: str


def path_svg(plan: RunPlan, campaign: Campaign, width: float = 1200.0) -> str:
    """A row of swatches a barrel, in order of work, wrapped where the sheet ends."""
    colours = swatches(campaign.colours)
    ways = [(press, barrel) for press, p in campaign.presses.items() for barrel in range(1, len(p.barrels) + 1)]
    per_row = max(1, int((width - GUTTER) // (CHIP + BETWEEN)))
    heaviest = max((sum(x.kg for x in r.changeover.purges) for r in plan.runs if r.changeover), default=0.0) or 1.0
    paths, y = [], 14.0
    for press, barrel in ways:
        held = campaign.presses[press].barrels[barrel - 1].holds
        melts: list[tuple[str, int, float]] = [(held, 0, 0.0)] if held else []
        for run in plan.runs:
            if run.press != press or barrel > len(run.melts):
                continue
            purges = run.changeover.purges if run.changeover else []
            kg = sum(p.kg for p in purges if p.barrel == barrel)
            melt = run.melts[barrel - 1]
            if melts and melts[-1][0] == melt and not kg:
                melts[-1] = (melt, melts[-1][1] + 1, melts[-1][2])
            else:
                melts.append((melt, 1, kg))
        if not melts:
            continue
        steps, before = [], None
        for n, (melt, runs, kg) in enumerate(melts):
            swatch = colours[colour_of(melt)]
            told = gettext("%(press)s, %(barrel)s, %(melt)s: %(runs)s") if runs else gettext("%(melt)s at the start")
            says = told % {
                "press": press,
                "barrel": wording.place("barrel", barrel),
                "melt": melt,
                "runs": wording.counted(runs, "run"),
            }
            if kg:
                says += "; " + gettext("%(kg)s purged to get here") % {"kg": wording.kilograms(kg)}
            x, at = GUTTER + (n % per_row) * (CHIP + BETWEEN), y + ROW * (n // per_row)
            depth = max(4.0, DEEPEST * (kg / heaviest) ** 0.5) if kg else 0.0
            steps.append(Step(melt, swatch, x, at, runs, kg, depth, before, says))
            before = swatch
        total = wording.kilograms(sum(kg for _, _, kg in melts))
        paths.append(Path(f"{press} {barrel}", y, steps, total))
        y += ROW * -(-len(melts) // per_row) + 8
    short = cut_apart([path.name for path in paths], GUTTER - 14, 14 * BOLD)
    short |= cut_apart(list({step.melt: None for path in paths for step in path.steps}), CHIP)
    used = {step.swatch.id: step.swatch for path in paths for step in path.steps}
    return draw(
        "path.svg",
        plan=plan,
        short=short,
        width=width,
        height=y + 20,
        paths=paths,
        used=used.values(),
        chip=CHIP,
        between=BETWEEN,
    )
