"""The earliest pick-up that can be the last: of each batch alone, of the benches' load, of the vans, of the presses."""

import numpy as np

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import Earliest, material_there
from planner.schedule.bounds.lp_rows import Rows
from planner.schedule.instance import Instance, Ints


def last_pickup(inst: Instance, earliest: Earliest) -> tuple[int, str]:
    """(index of the pick-up before which no plan is done, why)"""
    found = [(int(earliest.pickup.max(initial=0)), "the batch that even alone could not leave sooner")]
    work = (
        ("assembly", inst.asm_start, inst.asm_end, inst.asm_people, int(inst.job_work.sum()), earliest.assembly_begins),
        (
            "packing",
            inst.pack_start,
            inst.pack_end,
            inst.pack_people,
            int(inst.batch_work.sum()),
            earliest.packing_begins,
        ),
    )
    for bench, opens, closes, people, seconds, begins in work:
        done = _done(opens, closes, people, seconds, begins)
        pickup = min(int(np.searchsorted(inst.pickup_t, done)), inst.pickup_t.size - 1)
        found.append((pickup, f"hours of the {bench} bench that all of its work needs"))
    if inst.batch_parcels.size:
        first = int(earliest.pickup.min())
        vans = -(-int(inst.batch_parcels.sum()) // inst.pickup_parcels)
        found.append((min(first + vans - 1, inst.pickup_t.size - 1), "room in the pick-ups for all parcels"))
    return max(found, key=lambda pair: pair[0])


def _done(opens: Ints, closes: Ints, people: Ints, seconds: int, begins: int) -> int:
    """When so many person-seconds are worked, from a moment on."""
    there = np.clip(closes - np.maximum(opens, begins), 0, None) * people
    after = np.cumsum(there)
    k = int(np.searchsorted(after, seconds))
    if k >= after.size:
        return int(closes[-1]) if closes.size else begins
    left = seconds - int(after[k] - there[k])
    return int(max(opens[k], begins)) + -(-left // max(1, int(people[k]))) if seconds else begins


def load_allows(inst: Instance, least: Changeovers, until: int, rows: Rows, seconds: float) -> bool:
    """Whether press and tool hours before a moment could hold all shots, each run shared out freely over its presses.

    True where it is not known. A run brings its kindest changeover to each press in proportion to its share there.
    """
    presses, runs = inst.fits.shape
    shares: dict[tuple[int, int], int] = {}
    takes: dict[tuple[int, int], float] = {}
    for p, r in np.argwhere(inst.fits).tolist():
        shares[p, r] = rows.variable(most=1.0)
        before = [q for q in [*np.flatnonzero(inst.fits[p]).tolist(), runs] if q != r]
        entry = np.where(least.needed[p, before, r], least.seconds[p, before, r], 0).min()
        takes[p, r] = float(inst.run_shots[r] * inst.shot_num[p, r] / inst.shot_den[p, r]) + float(entry)
    unmade = [rows.variable(cost=1.0) for _ in range(runs)]
    for r in range(runs):
        mine = [(shares[p, r], 1.0) for p in range(presses) if inst.fits[p, r]]
        rows.at_least(1.0, [*mine, (unmade[r], 1.0)])
        ready = max(int(inst.tool_ready[inst.run_tool[r]]), material_there(inst, r))
        for p in np.flatnonzero(inst.fits[:, r]).tolist():
            rows.at_most(open_seconds(inst, p, ready, until, 0), [(shares[p, r], takes[p, r])])
    for p in range(presses):
        mine = [(shares[p, r], takes[p, r]) for r in np.flatnonzero(inst.fits[p]).tolist()]
        rows.at_most(open_seconds(inst, p, 0, until, int(inst.restart_s[p])), mine)
    for tool, ready in enumerate(inst.tool_ready.tolist()):
        mine = [(shares[key], takes[key]) for key in shares if inst.run_tool[key[1]] == tool]
        rows.at_most(float(max(0, until - ready)), mine)
    missing = rows.least(seconds)
    return missing is None or missing < MISSING


MISSING = 1e-4
"""Share of a run that rounding may leave unmade."""


def open_seconds(inst: Instance, p: int, begin: int, until: int, warm: int) -> int:
    """Seconds that a press is open between two moments, less a warm-up at the beginning of each stretch."""
    a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
    opens = np.maximum(inst.open_start[a:b], begin)
    return int(np.clip(np.minimum(inst.open_end[a:b], until) - opens - warm, 0, None).sum())
