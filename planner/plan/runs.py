"""Runs and their changeovers, written from the timing of the schedule."""

from dataclasses import dataclass
from math import fsum
from typing import Any

from planner.campaign.fit import shot_mass_g
from planner.demand.items import ItemDemand
from planner.plan.document import Basis, Changeover, Purge, Run, RunPart, Stretch
from planner.purge.basis import Basis as FigureBasis
from planner.purge.compound import CompoundFigures
from planner.purge.cost import purge_shots
from planner.purge.factor import hot_runner_reach
from planner.schedule import timing as w
from planner.schedule.compiled import Names
from planner.schedule.compiled.cleaning import hot_runner_figures
from planner.schedule.instance import NEVER, Instance
from planner.schedule.timing import Timing

BASES: dict[int, Basis] = {
    FigureBasis.ESTIMATED: "estimated",
    FigureBasis.GIVEN: "given",
    FigureBasis.MEASURED: "measured",
}


@dataclass(frozen=True)
class RunUse:
    """Melt a run takes from each barrel, kg. restart_kg: of startup_kg, in cold restarts.

    compound_kg: purging compound, all barrels.
    """

    run: Run
    moulded_kg: list[float]
    startup_kg: list[float]
    restart_kg: list[float]
    purge_kg: list[float]
    compound_kg: float
    press_seconds: int
    setter_seconds: int


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
    purged = [sum(x.kg - x.compound_kg for x in purges if x.barrel == b + 1) for b in barrels]
    compound = fsum(x.compound_kg for x in purges)
    setter_s = int(row[w.CO_END] - row[w.CO_START]) if changeover else 0
    pieces = timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]
    press_s = setter_s + int((pieces[:, w.BEGAN] - pieces[:, w.OPENED] + pieces[:, w.WORK]).sum())
    waste = sum((startup[b] + purged[b]) * float(inst.waste_cost_kg[inst.run_melt[r, b]]) for b in barrels)
    waste += compound * inst.compound_cost_kg
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
            waits_for=_waits_for(names, demand.tool, int(row[w.WHY])),
            cost=press_s * float(inst.press_cost_s[p]) + setter_s * inst.setter_cost_s + waste,
        ),
        moulded,
        startup,
        restarts,
        purged,
        compound,
        press_s,
        setter_s,
    )


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
        setter=int(row[w.SETTER]) + 1,
        warm_up_seconds=int(row[w.WARM]),
        mount_seconds=int(inst.mount_s[tool]) if row[w.MOUNTED] else 0,
        from_tool=names.tools[row[w.FROM_TOOL]] if row[w.FROM_TOOL] >= 0 else None,
        purges=[x for b in range(2) for x in _purges(inst, names, timing, lot, b)],
        startup_shots=int(inst.startup_shots[r]),
        startup_seconds=int(inst.startup_s[p, r]),
    )


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
        if cleaned:
            took = _with_compound(inst, hot if in_hot_runner else figures.compound, old, new)
            took["seconds"] = int((inst.hot_compound_s if in_hot_runner else inst.compound_s)[p, b, r, old])
        else:
            kg, low, high = (float(one[old, new]) for one in (figures.kg, figures.low, figures.high))
            if in_hot_runner:
                down, up = hot_runner_reach(names.hot_fits.get((names.tools[tool], b)))
                kg = float(inst.hot_kg[tool, b, old, new])
                low, high = round(kg * down, 3), round(kg * up, 3)
            took = {
                "kg": kg,
                "kg_p10": min(kg, low),
                "kg_p90": max(kg, high),
                "seconds": int((inst.hot_s if in_hot_runner else inst.purge_s)[p, b, r, old]),
                "cost": kg * float(inst.waste_cost_kg[new]),
                "basis": "estimated" if in_hot_runner else BASES[int(figures.basis[old, new])],
            }
        found.append(
            Purge(
                where="hot runner" if in_hot_runner else "barrel",
                barrel=b + 1,
                from_=names.melts[old],
                to=names.melts[new],
                shots=int(purge_shots(took["kg"], per_shot)) if in_hot_runner else 0,
                **took,
            )
        )
    return found


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
    found = []
    worked = done = 0
    for piece in range(row[w.FIRST_PIECE], row[w.FIRST_PIECE] + row[w.PIECES]):
        opened, began, work, restarted = (int(v) for v in timing.pieces[piece])
        worked += work
        upto = min(int(inst.lot_shots[lot]), worked * den // num)
        found.append(
            Stretch(
                start=names.clock.moment(opened),
                end=names.clock.moment(began + work),
                restart_seconds=began - opened,
                restart_shots=int(inst.startup_shots[r]) if restarted else 0,
                shots=upto - done,
            )
        )
        done = upto
    return found


def _waits_for(names: Names, tool: str, why: int) -> str:
    """What the start waited for, in words."""
    kind = w.WAITED_FOR[why]
    if kind == "ready":
        ready = names.campaign.tools[tool].ready
        return f"tool {tool}, ready {ready}"
    if kind == "tool":
        return f"tool {tool}, on another press until then"
    return {"press": "", "material": "material", "setter": "a setter", "hours": "press hours"}[kind]
