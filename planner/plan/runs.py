"""Runs and their changeovers, written from the timing of the schedule."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from math import fsum
from typing import Any, Literal

from planner.campaign.fit import shot_mass_g
from planner.campaign.unknown_melts import UNKNOWN
from planner.demand.at_the_shot import parts_in_a_shot, pieces_in_a_shot
from planner.demand.items import ItemDemand
from planner.plan.document import (
    AtTheShot,
    Basis,
    Changeover,
    Cleared,
    Closing,
    Purge,
    Run,
    RunPart,
    Stretch,
)
from planner.plan.heats import between_heats, goes_in, heating
from planner.plan.kept_back import kept_back_by
from planner.purge.basis import Basis as FigureBasis
from planner.purge.compound import CompoundFigures
from planner.purge.cost import purge_shots
from planner.purge.factor import hot_runner_reach
from planner.purge.heating import closing_kg, hot_runner_kg
from planner.purge.unknown import barrel_worst, hot_runner_worst
from planner.readiness import ready_of
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.encode.cleaning import hot_runner_figures
from planner.schedule.instance import NEVER, Instance
from planner.schedule.timing import Timing
from planner.wording import day_or_moment

BASES: dict[int, Basis] = {
    FigureBasis.ESTIMATED: "estimated",
    FigureBasis.GIVEN: "given",
    FigureBasis.MEASURED: "measured",
}


@dataclass(frozen=True)
class RunUse:
    """Melt a run takes from each barrel, kg. restart_kg: of startup_kg, in cold restarts.

    opening_kg: of purge_kg, in restarts after a closing. compound_kg: purging compound, all barrels. bridge_kg,
    closing_kg: resin -> kg that goes between two others before the run, and that clears its melt before closings, of
    which first_closing_kg in the first.
    """

    run: Run
    moulded_kg: list[float]
    startup_kg: list[float]
    restart_kg: list[float]
    purge_kg: list[float]
    compound_kg: float
    opening_kg: list[float]
    bridge_kg: dict[str, float]
    closing_kg: dict[str, float]
    first_closing_kg: dict[str, float]
    press_seconds: int
    setter_seconds: int
    operator_seconds: int


def runs(inst: Instance, names: Names, timing: Timing) -> list[RunUse]:
    """All runs, by press, then in order of work; numbered in order of start over all presses."""
    made_before = [0] * len(names.runs)
    found: list[RunUse] = []
    for n in range(inst.lot_run.size):
        lot = int(timing.lots[n, w.ORDER])
        run = int(inst.lot_run[lot])
        found.append(_run(inst, names, timing, lot, n + 1, made_before[run]))
        made_before[run] += int(inst.lot_shots[lot])
    return sorted(found, key=lambda use: use.run.press)  # stable: within a press, in order of work


def _run(inst: Instance, names: Names, timing: Timing, lot: int, number: int, before: int) -> RunUse:
    row = timing.lots[lot]
    p, r = int(row[w.PRESS]), int(inst.lot_run[lot])
    demand = names.runs[r]
    shots = int(inst.lot_shots[lot])
    changeover = _changeover(inst, names, timing, lot)
    stretches = _stretches(inst, names, timing, lot)
    barrels = range(len(demand.melts))
    restart_shots = sum(s.restart_shots for s in stretches)
    startup_shots = (changeover.startup_shots if changeover else 0) + restart_shots
    moulded = [shots * float(inst.shot_kg[r, b]) for b in barrels]
    startup = [startup_shots * float(inst.shot_kg[r, b]) for b in barrels]
    restarts = [restart_shots * float(inst.shot_kg[r, b]) for b in barrels]
    purges = changeover.purges if changeover else []
    again = [x for s in stretches for x in s.purges]
    opened = [sum(x.kg for x in again if x.barrel == b + 1) for b in barrels]
    purged = [sum(x.kg - x.compound_kg - x.bridge_kg for x in purges if x.barrel == b + 1) + opened[b] for b in barrels]
    compound = fsum(x.compound_kg for x in purges)
    closings = [s.closing for s in stretches if s.closing is not None]
    bridged = _by_resin((x.bridge, x.bridge_kg) for x in purges if x.bridge)
    closed = _by_resin((x.to.rpartition("/")[0], x.kg) for c in closings for x in c.cleared)
    setter_s = int(row[w.CO_END] - row[w.CO_START]) if changeover else 0
    pieces = timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]
    press_s = setter_s + int(
        (pieces[:, w.BEGAN] - pieces[:, w.OPENED] + pieces[:, w.WORK] + pieces[:, w.CLOSING]).sum()
    )
    waste = sum((startup[b] + purged[b]) * float(inst.waste_cost_kg[inst.run_melt[r, b]]) for b in barrels)
    waste += compound * inst.compound_cost_kg
    disposal = names.campaign.floor.disposal_per_kg
    for resin, kg in [*bridged.items(), *closed.items()]:
        waste += kg * (names.campaign.resins[resin].price_per_kg + disposal)
    moulding_s = int(pieces[:, w.WORK].sum())
    staying = moulding_s * float(inst.tending_cost_s[p, r]) if inst.tended else 0.0
    begin = changeover.start if changeover else stretches[0].start
    return RunUse(
        Run(
            id=f"run-{number}",
            press=names.presses[p],
            tool=demand.tool,
            melts=list(demand.melts),
            shots=shots,
            shot_seconds=round(float(inst.shot_num[p, r] / inst.shot_den[p, r]), 6),
            changeover=changeover,
            start=names.clock.moment(row[w.START]),
            end=stretches[-1].end,
            stretches=stretches,
            parts=[
                RunPart(part=i.part, colours=list(i.colours), good=_good(i, before + shots) - _good(i, before))
                for i in demand.items
            ],
            takes=_takes(names, demand.tool, shots),
            operators=names.campaign.tools[demand.tool].operators,
            waits_for=_waits_for(inst, names, timing, lot),
            cost=press_s * float(inst.press_cost_s[p]) + setter_s * float(inst.setter_cost_s[p]) + staying + waste,
            not_before=_waited_on_purpose(inst, names, timing, lot, begin),
        ),
        moulded,
        startup,
        restarts,
        purged,
        compound,
        opened,
        bridged,
        closed,
        _by_resin((x.to.rpartition("/")[0], x.kg) for c in closings[:1] for x in c.cleared),
        press_s,
        setter_s,
        moulding_s * names.campaign.tools[demand.tool].operators,
    )


def _by_resin(amounts: Iterable[tuple[str, float]]) -> dict[str, float]:
    """Kilograms by resin, added up."""
    found: dict[str, float] = {}
    for resin, kg in amounts:
        found[resin] = found.get(resin, 0.0) + kg
    return found


def _waited_on_purpose(inst: Instance, names: Names, timing: Timing, lot: int, begin: datetime) -> datetime | None:
    """The opening to which the search put a lot off that could have begun before; None where nothing was put off. It
    may begin later in those hours, where it then waits for something else, a setter as they come."""
    release = int(inst.lot_release[lot]) if inst.lot_release.size else 0
    second, p = names.clock.seconds(begin), int(timing.lots[lot, w.PRESS])
    opens = inst.open_start[inst.open_ptr[p] : inst.open_ptr[p + 1]]
    if release <= 0 or release not in opens or second < release or ((opens > release) & (opens <= second)).any():
        return None
    if second == release:
        return begin
    others = timing.lots[: inst.lot_run.size]
    before = others[(others[:, w.PRESS] == p) & (others[:, w.END] <= second), w.END]
    return names.clock.moment(release) if int(before.max(initial=0)) < release else None


def _good(item: ItemDemand, shots: int) -> int:
    """Good parts counted on after so many shots of the demand."""
    need, counting = item.to_mould, item.counting_shots
    return shots * need // counting if counting else 0


def _changeover(inst: Instance, names: Names, timing: Timing, lot: int) -> Changeover | None:
    row = timing.lots[lot]
    if row[w.CO_START] >= NEVER:
        return None
    p, r = int(row[w.PRESS]), int(inst.lot_run[lot])
    tool = int(inst.run_tool[r])
    return Changeover(
        start=names.clock.moment(row[w.CO_START]),
        end=names.clock.moment(row[w.CO_END]),
        setter=int(row[w.SETTER]) + 1 - (int(inst.setter_first[p]) if inst.elsewhere else 0),
        warm_up_seconds=int(row[w.WARM]),
        mount_seconds=_mounting(inst, int(row[w.FROM_TOOL]), tool),
        from_tool=names.tools[row[w.FROM_TOOL]] if row[w.FROM_TOOL] >= 0 else None,
        purges=[x for b in range(2) for x in _purges(inst, names, timing, lot, b)],
        startup_shots=int(inst.startup_shots[r]),
        startup_seconds=int(inst.startup_s[p, r]),
    )


def _mounting(inst: Instance, before: int, tool: int) -> int:
    if before == tool:
        return 0
    of_one_base = before >= 0 and inst.tool_base.size > 0 and inst.tool_base[before] == inst.tool_base[tool]
    return int((inst.insert_s if of_one_base else inst.mount_s)[tool])


def _purges(inst: Instance, names: Names, timing: Timing, lot: int, b: int) -> list[Purge]:
    """Purges of one barrel and of the hot runner behind it."""
    row = timing.lots[lot]
    p, r = int(row[w.PRESS]), int(inst.lot_run[lot])
    tool, new = int(inst.run_tool[r]), int(inst.run_melt[r, b])
    if new < 0:
        return []
    figures = names.figures[names.presses[p], b]
    per_shot = shot_mass_g(names.campaign, names.campaign.tools[names.tools[tool]])[b]
    hot = None
    if names.campaign.purging.compound is not None:
        hot = hot_runner_figures(names.campaign, names.tools[tool], b, figures)
    found = []
    for in_hot_runner, old in ((False, int(row[w.OLD_MELT + b])), (True, int(row[w.OLD_HOT + b]))):
        if old < 0:
            continue
        cleaned = bool(int(row[w.WITH_COMPOUND]) >> (2 * in_hot_runner + b) & 1)
        bridge = int(inst.bridge[old, new]) if cleaned and not in_hot_runner and inst.bridging else -1
        if bridge >= 0:
            took = _bridged(inst, names, p, b, r, old, new)
        elif cleaned:
            took = _with_compound(inst, hot if in_hot_runner else figures.compound, old, new)
            took["seconds"] = int((inst.hot_compound_s if in_hot_runner else inst.compound_s)[p, b, r, old])
        else:
            took = _with_melt(inst, names, p, b, r, in_hot_runner, old, new)
        if not in_hot_runner:
            took |= {"heat_seconds": heating(names, p, old, new), "heat": between_heats(names, old, new)}
        took["goes_in"] = goes_in(names, old, new, names.materials[bridge][1] if bridge >= 0 else "")
        found.append(
            Purge(
                where="hot runner" if in_hot_runner else "barrel",
                barrel=b + 1,
                from_=names.melt(old),
                to=names.melts[new],
                shots=int(purge_shots(took["kg"], per_shot)) if in_hot_runner else 0,
                **took,
            )
        )
    return found


def _with_melt(
    inst: Instance, names: Names, p: int, b: int, r: int, in_hot_runner: bool, old: int, new: int
) -> dict[str, Any]:
    """What a purge with melt alone takes."""
    figures = names.figures[names.presses[p], b]
    tool = int(inst.run_tool[r])
    if names.melt(old) == UNKNOWN:
        return _from_unknown(inst, names, p, b, r, in_hot_runner, new)
    kg, low, high = (float(one[old, new]) for one in (figures.kg, figures.low, figures.high))
    if in_hot_runner:
        down, up = hot_runner_reach(names.hot_fits.get((names.tools[tool], b)))
        kg = float(inst.hot_kg[tool, b, old, new])
        low, high = round(kg * down, 3), round(kg * up, 3)
    return {
        "kg": kg,
        "kg_p10": min(kg, low),
        "kg_p90": max(kg, high),
        "seconds": int((inst.hot_s if in_hot_runner else inst.purge_s)[p, b, r, old]),
        "cost": kg * float(inst.waste_cost_kg[new]),
        "basis": "estimated" if in_hot_runner else BASES[int(figures.basis[old, new])],
    }


def _from_unknown(
    inst: Instance, names: Names, p: int, b: int, r: int, in_hot_runner: bool, new: int
) -> dict[str, Any]:
    """What it takes to purge a melt that nobody knows with melt alone: at the worst; perhaps next to nothing."""
    campaign, tool = names.campaign, names.runs[r].tool
    if in_hot_runner:
        held, fit = hot_runner_kg(campaign, tool, b), names.hot_fits.get((tool, b))
        kg, high = hot_runner_worst(campaign, next(iter(names.figures.values())), held, fit)
    else:
        kg, high = barrel_worst(campaign, names.figures[names.presses[p], b])
    return {
        "kg": float(kg[new]),
        "kg_p10": 0.0,
        "kg_p90": float(high[new]),
        "seconds": int((inst.hot_s if in_hot_runner else inst.purge_s)[p, b, r, -1]),
        "cost": float(kg[new] * inst.waste_cost_kg[new]),
        "basis": "estimated",
    }


def _bridged(inst: Instance, names: Names, p: int, b: int, r: int, old: int, new: int) -> dict[str, Any]:
    """What a purge over a bridge takes, but for its heating: the resin between, then the melt to come."""
    took, bridge = _with_melt(inst, names, p, b, r, False, old, new), int(inst.bridge[old, new])
    between = float(inst.compound_kg[p, b, old, new])
    for field in ("kg", "kg_p10", "kg_p90"):
        took[field] += between
    took["seconds"] = int(inst.compound_s[p, b, r, old])
    took["cost"] += between * float(inst.clearing_cost_kg[bridge])
    return took | {"bridge": names.materials[bridge][1], "bridge_kg": between}


def _with_compound(inst: Instance, figures: CompoundFigures | None, old: int, new: int) -> dict[str, Any]:
    """What a purge with compound takes, but for its seconds."""
    assert figures is not None, "only a campaign with a compound is planned with it"
    used, rinse = float(figures.kg[old, new]), float(figures.rinse_kg[old, new])
    total = float(figures.total_kg[old, new])
    return {
        "kg": total,
        "kg_p10": min(total, float(figures.low[old, new])),
        "kg_p90": max(total, float(figures.high[old, new])),
        "cost": used * inst.compound_cost_kg + rinse * float(inst.waste_cost_kg[new]),
        "basis": BASES[int(figures.basis[old, new])],
        "way": "purging compound",
        "compound_kg": used,
        "rinse_kg": rinse,
        "soak_seconds": int(figures.soak_s[old, new]),
    }


def _stretches(inst: Instance, names: Names, timing: Timing, lot: int) -> list[Stretch]:
    row = timing.lots[lot]
    p, r = int(row[w.PRESS]), int(inst.lot_run[lot])
    num, den = int(inst.shot_num[p, r]), int(inst.shot_den[p, r])
    found: list[Stretch] = []
    worked = done = 0
    for piece in range(row[w.FIRST_PIECE], row[w.FIRST_PIECE] + row[w.PIECES]):
        opened, began, work, restarted, closing = (int(v) for v in timing.pieces[piece])
        worked += work
        upto = min(int(inst.lot_shots[lot]), worked * den // num)
        found.append(
            Stretch(
                start=names.clock.moment(opened),
                end=names.clock.moment(began + work + closing),
                restart_seconds=began - opened,
                restart_shots=int(inst.startup_shots[r]) if restarted else 0,
                shots=upto - done,
                purges=_again(inst, names, p, r) if closing and found else [],
                closing=Closing(seconds=closing, cleared=_cleared(inst, names, p, r)) if closing else None,
            )
        )
        done = upto
    return found


def _cleared(inst: Instance, names: Names, p: int, r: int) -> list[Cleared]:
    """What a closing of a run clears, place by place."""
    found = []
    for b, melt, left in _left_behind(inst, r):
        tool, price = names.runs[r].tool, float(inst.waste_cost_kg[left])
        barrel = names.campaign.presses[names.presses[p]].barrels[b].holdup_kg
        held: list[tuple[Literal["barrel", "hot runner"], float]] = [("barrel", barrel)]
        if (hot := hot_runner_kg(names.campaign, tool, b)) > 0:
            held.append(("hot runner", hot))
        for where, there in held:
            kg = closing_kg(names.campaign, there)
            old, new = names.melts[melt], names.melts[left]
            through = goes_in(names, melt, left)[0]
            found.append(Cleared(where=where, barrel=b + 1, from_=old, to=new, kg=kg, cost=kg * price, goes_in=through))
    return found


def _again(inst: Instance, names: Names, p: int, r: int) -> list[Purge]:
    """What a restart purges out again after a closing."""
    found = []
    for b, melt, left in _left_behind(inst, r):
        tool = names.runs[r].tool
        per_shot = shot_mass_g(names.campaign, names.campaign.tools[tool])[b]
        for in_hot_runner in (False, True) if hot_runner_kg(names.campaign, tool, b) > 0 else (False,):
            took = _with_melt(inst, names, p, b, r, in_hot_runner, left, melt)
            if not in_hot_runner:
                took |= {"heat_seconds": heating(names, p, left, melt), "heat": between_heats(names, left, melt)}
            took["goes_in"] = goes_in(names, left, melt)
            found.append(
                Purge(
                    where="hot runner" if in_hot_runner else "barrel",
                    barrel=b + 1,
                    from_=names.melts[left],
                    to=names.melts[melt],
                    shots=int(purge_shots(took["kg"], per_shot)) if in_hot_runner else 0,
                    **took,
                )
            )
    return found


def _left_behind(inst: Instance, r: int) -> list[tuple[int, int, int]]:
    """(barrel from 0, melt, what it is cleared with) for each barrel of a run whose melt must not stand."""
    pairs = zip(inst.run_melt[r].tolist(), inst.leaves[r].tolist(), strict=True)
    return [(b, melt, left) for b, (melt, left) in enumerate(pairs) if melt != left]


def _takes(names: Names, tool: str, shots: int) -> list[AtTheShot]:
    """What so many shots are moulded over: parts, then bought-in pieces."""
    parts, pieces = parts_in_a_shot(names.campaign, tool), pieces_in_a_shot(names.campaign, tool)
    return [
        *(AtTheShot(id=part, colours=list(colours), number=n * shots) for (part, colours), n in sorted(parts.items())),
        *(AtTheShot(id=piece, number=n * shots) for piece, n in sorted(pieces.items())),
    ]


def _waits_for(inst: Instance, names: Names, timing: Timing, lot: int) -> str:
    """What the start waited for, in words."""
    kind, tool = w.WAITED_FOR[int(timing.lots[lot, w.WHY])], names.runs[int(inst.lot_run[lot])].tool
    if kind == "ready":
        ready = ready_of(names.campaign, tool)
        return f"tool {tool}, ready" + (f" {day_or_moment(ready)}" if ready is not None else "")
    if kind == "tool":
        return f"tool {tool}, on another press until then"
    return {
        "press": "", "material": "material", "setter": "a setter", "hours": "press hours", "dryer": "its dryer",
        "wish": kept_back_by(inst, timing, lot), "operators": "operators",
    }[kind]  # fmt: skip
