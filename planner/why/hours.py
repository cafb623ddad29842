"""What the time of a chain went into, added up by thing; time in which a press or bench was closed counts as that."""

from collections import defaultdict

import numpy as np

from planner.demand.finishing import visits
from planner.plan.binding import HoursOf
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.timing import Timing
from planner.why.chains import Stretch

CLOSED = "closed hours"


def hours_of(inst: Instance, names: Names, timing: Timing, links: list[Stretch]) -> list[HoursOf]:
    """Hours by thing, most first; they add up to the time from the campaign's start to the dispatch."""
    seconds: dict[str, int] = defaultdict(int)
    for link in links:
        what, worked = _what(inst, names, timing, link)
        seconds[what] += worked
        seconds[CLOSED] += link.until - link.since - worked
    found = [HoursOf(what=what, hours=s / 3600) for what, s in seconds.items() if s]
    return sorted(found, key=lambda one: (-one.hours, one.what))


def _what(inst: Instance, names: Names, timing: Timing, link: Stretch) -> tuple[str, int]:
    """(thing, seconds of the link that go into it; the rest it was closed)."""
    whole = link.until - link.since
    match link.kind:
        case "run" | "changeover":
            return f"press {names.presses[timing.lots[link.number, w.PRESS]]}", _at_work(timing, link)
        case "packing":
            return "packing", _open(inst.pack_start, inst.pack_end, link)
        case "assembly":
            return "assembly", _open(inst.asm_start, inst.asm_end, link)
        case "finishing":
            bench = link.number // inst.job_work.size
            a, b = inst.finish_ptr[bench], inst.finish_ptr[bench + 1]
            name = list(names.campaign.finishing_benches)[bench]
            return f"bench {name}", _open(inst.finish_start[a:b], inst.finish_end[a:b], link)
        case "drying":
            return "rest before assembly", whole
        case "lot away":
            going = visits(names.campaign, str(names.goods[link.number][0]))
            if not any(visit.firm in names.campaign.places for visit in going):
                return "parts away at another firm", whole
            return ("parts on the way to the bench" if any(v.out for v in going) else "parts on the way here"), whole
        case "carried":
            return "on the way between benches", whole
        case "tool ready":
            return f"waiting for tool {names.tools[link.number]}", whole
        case "material":
            return f"waiting for {' '.join(names.materials[link.number])}", whole
        case "dryer":
            return "waiting for a dryer", whole
        case "wish":
            return "waiting by wish", whole
        case "moulded over":
            return "waiting for what goes into a mould", whole
        case "piece":
            return f"waiting for {names.goods[link.number]}", whole
        case "rest":
            return "rest before assembly", whole
        case "pick-up" | "pick-up full" | "wave before":
            return ("waiting for the wave before" if link.kind == "wave before" else "waiting for a pick-up"), whole
        case _:
            return CLOSED, 0


def _at_work(timing: Timing, link: Stretch) -> int:
    row = timing.lots[link.number]
    pieces = timing.pieces[row[w.FIRST_PIECE] : row[w.FIRST_PIECE] + row[w.PIECES]]
    begins, ends = pieces[:, w.OPENED], pieces[:, w.BEGAN] + pieces[:, w.WORK] + pieces[:, w.CLOSING]
    worked = _open(begins, ends, link)
    if row[w.CO_START] != NEVER:
        worked += max(0, min(int(row[w.CO_END]), link.until) - max(int(row[w.CO_START]), link.since))
    return worked


def _open(begins: Ints, ends: Ints, link: Stretch) -> int:
    return int(np.clip(np.minimum(ends, link.until) - np.maximum(begins, link.since), 0, None).sum())
