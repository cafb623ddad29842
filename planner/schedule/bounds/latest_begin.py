"""By when work on what leaves by a date must have begun, and the few moments at which that is looked at.

Why: parts made by a date are of no use for that date's van. They rest, are assembled and packed first, hours before it
leaves; and what comes in the last hours all wants the benches then. Two of the XS were 300 to 500 short for want of it.

A batch that leaves with a pick-up is packed by then, which takes the bench, with all people there, its person-seconds;
so packing begins at the last at `packing` (B, T), and each of its assembly jobs, done before, at `assembly` (A, T). A
job takes all its parts as it begins, when they have rested.
"""

from dataclasses import dataclass

import numpy as np

from planner.schedule.bounds.by_dates import Dates
from planner.schedule.instance import Instance, Ints

MOST_MOMENTS = 12
"""Moments looked at, all dates together: more make the model larger and its value a little higher."""

MOST_BATCHES = 30
"""With more of them work may begin until the date itself: on S nothing was gained, and the model took ten times as
long."""

OPENINGS = 3
"""Of the assembly bench, before each date, that are among them."""

TOO_LATE = -1
"""Where nothing begun in time is done by the date."""


@dataclass(frozen=True)
class Latest:
    """Last moments to begin; TOO_LATE where a date is missed whatever is done. moments: looked at, ascending."""

    packing: Ints
    assembly: Ints
    moments: Ints


def last_begins(inst: Instance, at: Dates) -> Latest:
    """Of every batch and its jobs, for every date."""
    batches, jobs, times = inst.batch_work.size, inst.job_work.size, at.moments.tolist()
    pack = inst.pack_start, inst.pack_end, inst.pack_people
    asm = inst.asm_start, inst.asm_end, inst.asm_people
    packing = np.full((batches, len(times)), TOO_LATE, dtype=np.int64)
    assembly = np.full((jobs, len(times)), TOO_LATE, dtype=np.int64)
    if batches > MOST_BATCHES:
        return Latest(packing * 0 + at.moments, assembly * 0 + at.moments, at.moments)
    for t, moment in enumerate(times):
        for b in range(batches):
            packing[b, t] = begun_by(*pack, moment, int(inst.batch_work[b]))
            for job in range(int(inst.job_ptr[b]), int(inst.job_ptr[b + 1])):
                assembly[job, t] = begun_by(*asm, int(packing[b, t]), int(inst.job_work[job]))
    return Latest(packing, assembly, _moments(inst, at, packing, assembly))


def begun_by(opens: Ints, closes: Ints, people: Ints, until: int, work: int) -> int:
    """The last moment at which a bench can begin so many person-seconds and end by `until`, to a second."""
    if work == 0 or until < 0:
        return until
    for k in range(int(np.searchsorted(opens, until)) - 1, -1, -1):
        close = min(int(closes[k]), until)
        there = (close - int(opens[k])) * int(people[k])
        if work <= there:
            return close - work // int(people[k])
        work -= max(0, there)
    return TOO_LATE


def _moments(inst: Instance, at: Dates, packing: Ints, assembly: Ints) -> Ints:
    """The last of them for each date, then, as many as there may be, others spread evenly and openings of the bench."""
    found: set[int] = set()
    each = MOST_MOMENTS // max(1, at.moments.size)
    for t, moment in enumerate(at.moments.tolist()):
        begins = np.unique(np.concatenate([packing[:, t], assembly[:, t]]))
        begins = begins[begins >= 0]
        if not begins.size:
            continue
        found.add(int(begins[-1]))
        spread = begins[np.linspace(0, begins.size - 1, min(max(1, each - OPENINGS), begins.size)).round().astype(int)]
        opened = inst.asm_start[: np.searchsorted(inst.asm_start, moment)][-OPENINGS:]
        found.update([*spread.tolist(), *opened.tolist()][: max(0, each - 1)])
    return np.array(sorted(found), dtype=np.int64)
