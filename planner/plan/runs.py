"""Runs and their changeovers, written from the timing of the schedule."""

from dataclasses import dataclass

from planner.campaign.fit import shot_mass_g
from planner.demand.items import ItemDemand
from planner.plan.document import Basis, Changeover, Purge, Run, RunPart, Stretch
from planner.purge.cost import purge_shots
from planner.purge.matrix import Basis as FigureBasis
from planner.schedule import timing as w
from planner.schedule.compiled import Names
from planner.schedule.instance import NEVER, Instance
from planner.schedule.timing import Timing

BASES: dict[int, Basis] = {
    FigureBasis.ESTIMATED: "estimated",
    FigureBasis.GIVEN: "given",
    FigureBasis.MEASURED: "measured",
}


@dataclass(frozen=True)
class RunUse:
    """Melt a run takes from each barrel, kg. restart_kg: of startup_kg, in cold restarts."""

    run: Run
    moulded_kg: list[float]
    startup_kg: list[float]
    restart_kg: list[float]
    purge_kg: list[float]
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
    purged = [sum(x.kg for x in changeover.purges if x.barrel == b + 1) if changeover else 0.0 for b in barrels]
    setter_s = int(row[w.CO_END] - row[w.CO_START]) if changeover else 0
    pieces = timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]
    press_s = setter_s + int((pieces[:, w.BEGAN] - pieces[:, w.OPENED] + pieces[:, w.WORK]).sum())
    waste = sum((startup[b] + purged[b]) * float(inst.waste_cost_kg[inst.run_melt[r, b]]) for b in barrels)
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
    found = []
    for in_hot_runner, old in ((False, int(row[w.OLD_MELT + b])), (True, int(row[w.OLD_HOT + b]))):
        if old < 0:
            continue
        barrel_kg = float(figures.kg[old, new])
        kg = float(inst.hot_kg[tool, b, old, new]) if in_hot_runner else barrel_kg
        scale = kg / barrel_kg if barrel_kg else 1.0  # a hot runner's range is as wide as the barrel's
        found.append(
            Purge(
                where="hot runner" if in_hot_runner else "barrel",
                barrel=b + 1,
                from_=names.melts[old],
                to=names.melts[new],
                kg=kg,
                kg_p10=min(kg, float(figures.low[old, new]) * scale),
                kg_p90=max(kg, float(figures.high[old, new]) * scale),
                shots=int(purge_shots(kg, per_shot)),
                seconds=int((inst.hot_s if in_hot_runner else inst.purge_s)[p, b, r, old]),
                cost=kg * float(inst.waste_cost_kg[new]),
                basis="estimated" if in_hot_runner else BASES[int(figures.basis[old, new])],
            )
        )
    return found


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
