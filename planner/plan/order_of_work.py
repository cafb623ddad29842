"""From a run plan back to the order of work behind it, and from an order of work to a solution of another instance.

So a plan can be followed when something slipped, or improved from where it stands.
"""

from collections import Counter, defaultdict

import numpy as np

from planner.campaign.order_of_work import OrderOfWork, WorkRun
from planner.demand.parcels import Batch
from planner.plan.document import PackBatch, RunPlan
from planner.schedule.encode import Names
from planner.schedule.instance import Instance, Ints
from planner.schedule.solution import Solution

Placed = list[list[tuple[int, int]]]
"""For each press, in order: (run demand, shots)."""


def order_of(plan: RunPlan) -> OrderOfWork:
    """The order of work of a plan."""
    presses: dict[str, list[WorkRun]] = defaultdict(list)
    for run in sorted(plan.runs, key=lambda r: (r.press, r.start)):
        colours = [melt.rpartition("/")[2] for melt in run.melts]
        work = WorkRun(tool=run.tool, colours=colours, shots=run.shots, not_before=run.not_before)
        presses[run.press].append(work)
    return OrderOfWork(presses=dict(presses), service=_service(plan))


def _service(plan: RunPlan) -> list[str]:
    first_work = {a.batch: a.start for a in reversed(plan.assembly)}
    named = _numbered([(_packed_key(b), (b.lines[0].line, b.lines[-1].line, -b.parcels), b.id) for b in plan.batches])
    leaves = {d.id: d.at for d in plan.dispatches}
    in_order = sorted(
        plan.batches,
        key=lambda b: (b.served, leaves[b.dispatch], first_work.get(b.id, b.start), b.start),
    )
    return [named[b.id] for b in in_order]


def _packed_key(batch: PackBatch) -> str:
    return batch_key(batch.tier, batch.region, batch.units, tuple(batch.pieces.items()))


def batch_key(
    tier: str, region: str, units: tuple[tuple[tuple[str, str], int], ...], pieces: tuple[tuple[str, int], ...]
) -> str:
    """What is in a pack batch, in words that stay the same from plan to plan."""
    inside = [f"{n} {product}/{colourway}" for (product, colourway), n in sorted(units)]
    inside += [f"{n} {piece}" for piece, n in sorted(pieces)]
    return f"{tier} to {region}: {', '.join(inside)}"


def batch_names(batches: list[Batch]) -> list[str]:
    """The name of each batch in an order of work: its key, numbered where several are alike."""
    named = _numbered(
        [
            (
                batch_key(b.tier, b.region, b.units, b.pieces),
                (b.lines[0][0], b.lines[-1][0], -b.parcels),
                str(n),
            )
            for n, b in enumerate(batches)
        ]
    )
    return [named[str(n)] for n in range(len(batches))]


def _numbered(batches: list[tuple[str, tuple[int, int, int], str]]) -> dict[str, str]:
    """id -> key with its number among those of the same key."""
    seen: Counter[str] = Counter()
    names = {}
    for key, _, name in sorted(batches, key=lambda b: (b[0], b[1])):
        seen[key] += 1
        names[name] = f"{key} #{seen[key]}"
    return names


def followed(inst: Instance, names: Names, order: OrderOfWork) -> tuple[Instance, Solution]:
    """The order of work kept to the letter: an instance whose lots are its runs, and them in its order.

    Shots the campaign no longer asks for are left off the demand's last runs, shots it asks for in addition go onto the
    last one; a run whose press is gone or does not fit goes to one that does; what the order does not know comes last.
    """
    placed, pinned = placed_runs(inst, names, order)
    placed = [_whole(inst, lots, number) for lots, number in zip(placed, pinned, strict=True)]
    heads = [(p, n) for p, number in enumerate(pinned) for n in range(number)]
    rest = [(p, n) for p, lots in enumerate(placed) for n in range(pinned[p], len(lots))]
    lots = [placed[p][n] for p, n in heads + rest]  # pinned lots first, as the search counts them off
    ours = inst._replace(
        lot_run=np.array([r for r, _ in lots], dtype=np.int64),
        lot_shots=np.array([shots for _, shots in lots], dtype=np.int64),
        pinned=np.array(pinned, dtype=np.int64),
    )
    solution = Solution.empty(ours)
    for lot, (p, _) in enumerate(heads + rest):
        solution.append(p, lot)
    solution.order = service_order(names, order)
    return _put_off(ours, names, order, solution), solution


def _whole(inst: Instance, lots: list[tuple[int, int]], pinned: int) -> list[tuple[int, int]]:
    """A press's lots, those of a demand that is never split joined where they follow each other: others' work broke
    them off, and may break them off elsewhere now. The pinned ones stay as they are."""
    found = lots[:pinned]
    for r, shots in lots[pinned:]:
        if len(found) > pinned and found[-1][0] == r and inst.run_smallest.size and inst.run_smallest[r] <= 0:
            found[-1] = r, found[-1][1] + shots
        else:
            found.append((r, shots))
    return found


def _put_off(inst: Instance, names: Names, order: OrderOfWork, solution: Solution) -> Instance:
    """Runs of the order that wait on purpose wait in the instance, where they still are what they were and their press
    still opens then."""
    release = np.zeros(inst.lot_run.size, dtype=np.int64)
    for press_id, runs in order.presses.items():
        if press_id not in names.presses:
            continue
        p = names.presses.index(press_id)
        lots, opens = solution.lots()[p], inst.open_start[inst.open_ptr[p] : inst.open_ptr[p + 1]]
        for work in runs:
            if work.not_before is None or names.clock.seconds(work.not_before) not in opens:
                continue
            for lot in lots:
                run = names.runs[int(inst.lot_run[lot])]
                same = (run.tool, run.colours) == (work.tool, tuple(work.colours))
                if same and inst.lot_shots[lot] == work.shots and not release[lot]:
                    release[lot] = max(0, names.clock.seconds(work.not_before))
                    break
    return inst._replace(lot_release=release) if release.any() else inst


def warm_start(inst: Instance, names: Names, order: OrderOfWork) -> Solution:
    """The order of work on the instance's own lots, as a start for the search: close to the plan, not always equal."""
    placed, _ = placed_runs(inst, names, order)
    waiting: dict[int, list[int]] = defaultdict(list)
    solution = Solution.empty(inst)
    fixed = int(inst.pinned.sum())
    lot = 0
    for p, number in enumerate(inst.pinned):
        for _ in range(number):
            solution.append(p, lot)
            lot += 1
    for lot in range(fixed, inst.lot_run.size):
        waiting[int(inst.lot_run[lot])].append(lot)
    pieces_left = Counter(r for lots in placed for r, _ in lots)
    owed: Counter[int] = Counter()
    for p, lots in enumerate(placed):
        for r, shots in lots:
            owed[r] += shots
            pieces_left[r] -= 1
            while waiting[r] and (pieces_left[r] == 0 or 2 * owed[r] >= inst.lot_shots[waiting[r][0]]):
                lot = waiting[r].pop(0)
                owed[r] -= int(inst.lot_shots[lot])
                solution.append(p, lot)
    solution.order = service_order(names, order)
    return solution


def placed_runs(inst: Instance, names: Names, order: OrderOfWork) -> tuple[Placed, list[int]]:
    """Run demands and shots by press in the order of work, the maker's pinned ones first, and how many those are."""
    number = {(run.tool, run.colours): r for r, run in enumerate(names.runs)}
    left = {r: run.shots for r, run in enumerate(names.runs)}
    placed: Placed = [[] for _ in names.presses]
    lot = 0
    for p, count in enumerate(inst.pinned):
        for _ in range(count):
            r = int(inst.lot_run[lot])
            placed[p].append((r, int(inst.lot_shots[lot])))
            left[r] -= int(inst.lot_shots[lot])
            lot += 1
    for press_id in sorted(order.presses):
        p = names.presses.index(press_id) if press_id in names.presses else -1
        for run in order.presses[press_id]:
            r = number.get((run.tool, tuple(run.colours)), -1)
            shots = min(run.shots, left.get(r, 0))
            if shots > 0:
                on = p if p >= 0 and _may(inst, placed, p, r) else _other_press(inst, placed, r)
                placed[on].append((r, shots))
                left[r] -= shots
    for r, shots in left.items():
        if shots > 0:
            _add(inst, placed, r, shots)
    return placed, [int(n) for n in inst.pinned]


def _add(inst: Instance, placed: Placed, r: int, shots: int) -> None:
    """Put shots onto the demand's last run, or at the end of a press that fits."""
    for p, lots in enumerate(placed):
        for n in range(len(lots) - 1, int(inst.pinned[p]) - 1, -1):
            if lots[n][0] == r:
                lots[n] = (r, lots[n][1] + shots)
                return
    placed[_other_press(inst, placed, r)].append((r, shots))


def _may(inst: Instance, placed: Placed, p: int, r: int) -> bool:
    return bool(inst.fits[p, r]) and not any(inst.clash[r, other] for other, _ in placed[p])


def _other_press(inst: Instance, placed: Placed, r: int) -> int:
    """The press with the fewest runs so far among those that may take the run; any that fits if none may."""
    presses = range(len(placed))
    able = [p for p in presses if _may(inst, placed, p, r)] or [p for p in presses if inst.fits[p, r]] or [0]
    return min(able, key=lambda p: len(placed[p]))


def service_order(names: Names, order: OrderOfWork) -> Ints:
    """Pack batches in the order's order of service; those it does not know come last."""
    place = {name: n for n, name in enumerate(order.service)}
    ranks = [place.get(name, len(place)) for name in batch_names(names.batches)]
    return np.argsort(np.array(ranks, dtype=np.int64), kind="stable").astype(np.int64)
