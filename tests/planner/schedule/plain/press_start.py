"""When a press can begin its next lot (RULES.md, R1 to R5, R21)."""

from dataclasses import replace
from fractions import Fraction

from planner.schedule.instance import NEVER
from tests.planner.schedule.plain.changeover import changes
from tests.planner.schedule.plain.press_operators import free_to_stay, staying_at
from tests.planner.schedule.plain.press_supply import material_there
from tests.planner.schedule.plain.press_wishes import wished_moment
from tests.planner.schedule.plain.workshop import CannotBeDone, Press, Workshop


def as_found(shop: Workshop, press: Press, since: int) -> Press:
    """The press as it is in stretches that come after others' work, or as our last run left it."""
    if since == press.since:
        return press
    left = [None if m < 0 else int(m) for m in shop.inst.others_left[since]]
    return replace(press, tool=None, melts=left, since=since)


def seconds_until_others(shop: Workshop, press: Press, run: int, now: int, warm: bool) -> int:
    """Seconds of production from `now` until others work there, restarts paid; warm: so is the press at `now`."""
    inst, p = shop.inst, press.number
    closing = int(inst.closing_s[p, run])
    restart = int(inst.restart_s[p]) + int(inst.startup_s[p, run])
    room, here = 0, None
    for opens, closes in press.stretches:
        if closes <= now and here is None:
            continue
        here = press.after[opens] if here is None else here
        if press.after[opens] != here:
            return room
        begin, there = max(now, opens), press.hands[opens]
        closes = (there if closing or staying_at(shop, run) else closes) - closing
        if not (warm and opens <= now):
            begin += restart + (int(inst.opening_s[p, run]) if room and closing else 0)
            if begin > there:
                continue
        room += max(0, closes - begin)
    return 2**40


def next_start(shop: Workshop, press: Press) -> int:
    for since in dict.fromkeys(press.after.values()):
        if since < press.since:
            continue
        try:
            return start_since(shop, as_found(shop, press, since), since)
        except CannotBeDone:
            continue
    raise CannotBeDone


def start_since(shop: Workshop, press: Press, since: int) -> int:
    inst, lot = shop.inst, press.to_do[0]
    run = int(inst.lot_run[lot])
    needed, seconds, kg, clearing, waits = changes(shop, press, run)
    if waits >= NEVER:
        raise CannotBeDone
    own = int(inst.lot_shots[lot]) if press.broken_off is None else press.broken_off
    shots = own + (int(inst.startup_shots[run]) if needed else 0)
    earliest = max(shop.free_for(press, run), waits)
    drawn = {m: amount for m, amount in clearing.items() if m != inst.compound}
    earliest = max(earliest, material_there(shop, press.number, run, shots, kg if needed else {}, drawn))
    earliest = shop.dryers.ready(press.number, run, own, kg if needed else {}, earliest)
    if earliest >= NEVER:
        raise CannotBeDone
    closing = int(inst.closing_s[press.number, run])
    shot = Fraction(int(inst.shot_num[press.number, run]), int(inst.shot_den[press.number, run]))
    if needed:
        earliest = max(earliest, min(shop.setters_busy_until[n] for n in shop.setters_of(press.number)))
    earliest = max(earliest, wished_moment(shop, press))
    earliest = free_to_stay(shop, press.number, run, earliest)
    if inst.lot_release.size:
        earliest = max(earliest, int(inst.lot_release[lot]))
    for opens, closes in press.stretches:
        begin = max(earliest, opens)
        if begin >= closes or press.after[opens] != since:
            continue
        there = press.hands[opens]
        closes = there if closing or staying_at(shop, run) else closes
        warm_up = 0 if opens in press.warmed else int(inst.restart_s[press.number])
        if needed:
            ready = begin + warm_up + seconds
            fits = begin < closes and ready + (closing + 1 if closing else 0) <= there
            warm = True
        else:
            ready, warm = begin, opens in press.warmed
            restart = 0 if warm else warm_up + int(inst.startup_s[press.number, run])
            fits = begin + restart + closing < closes and (warm or begin + restart <= there)
        if fits and (not inst.sharing or seconds_until_others(shop, press, run, ready, warm) >= shot):
            return begin
    raise CannotBeDone
