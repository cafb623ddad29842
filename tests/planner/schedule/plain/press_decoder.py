"""A lot carried out on its press: changeover, shots, restarts, closings (RULES.md, R3 to R5, R13)."""

from fractions import Fraction
from math import ceil, floor

from tests.planner.schedule.plain.changeover import changes, purges
from tests.planner.schedule.plain.press_charges import charge_hours, close_bill
from tests.planner.schedule.plain.press_operators import staying_at
from tests.planner.schedule.plain.press_start import as_found, seconds_until_others
from tests.planner.schedule.plain.workshop import CannotBeDone, Lot, Press, Workshop


def begin_lot(shop: Workshop, press: Press, moment: int) -> None:
    inst, lot, p = shop.inst, press.to_do[0], press.number
    since = press.after[shop.stretch_at(press, moment)[0]]
    found = as_found(shop, press, since)
    press.tool, press.melts, press.since = found.tool, found.melts, since
    run = int(inst.lot_run[lot])
    own = int(inst.lot_shots[lot]) if press.broken_off is None else press.broken_off
    tool = int(inst.run_tool[run])
    rate = float(inst.press_cost_s[p])
    needed, seconds, kg, clearing, _ = changes(shop, press, run)
    changeover = None
    now = moment
    if needed:
        opens, _ = shop.stretch_at(press, moment)
        if opens not in press.warmed:
            seconds += int(inst.restart_s[p])
            press.warmed.add(opens)
        now = moment + seconds
        changeover = (moment, now)
        who = min(shop.setters_of(p), key=lambda n: shop.setters_busy_until[n])
        shop.setters_busy_until[who] = now
        shop.lines["press"] += seconds * rate
        if inst.charging:
            close_bill(shop, p)
            mounts = press.tool != int(inst.run_tool[run])
            charge = float(inst.changeover_charge[p, int(purges(shop, press, run)), int(mounts)])
            shop.lines["press"] += charge
            shop.bills[p] += charge + seconds * rate
            charge_hours(shop, p, opens, moment, now)
        shop.lines["setter"] += seconds * inst.setter_cost_s[p]
        for material, amount in clearing.items():
            shop.used[material] += Fraction(amount)
            shop.purge_kg += amount
            per_kg = inst.compound_cost_kg if material == inst.compound else float(inst.clearing_cost_kg[material])
            shop.lines["purge"] += amount * per_kg
        for b, new in shop.melts(run):
            shop.purge_kg += kg[b]
            shop.lines["purge"] += kg[b] * float(inst.waste_cost_kg[new])
            shop.take(new, kg[b])
        shop.start_up(run)
    base = int(inst.tool_base[tool])
    for other in shop.presses:
        if other.tool is not None and inst.tool_base[other.tool] == base:
            other.tool = None
    press.tool = tool
    shot = Fraction(int(inst.shot_num[p, run]), int(inst.shot_den[p, run]))
    warm = shop.stretch_at(press, moment)[0] in press.warmed
    shots = min(own, floor(seconds_until_others(shop, press, run, now, warm) / shot)) if inst.sharing else own
    for b, new in shop.melts(run):
        press.melts[b] = shop.runner[tool, b] = shop.left(run).get(b, new)
        shop.take(new, shots * float(inst.shot_kg[run, b]))
    if inst.charging:
        shop.lines["press"] += shots * float(inst.shot_charge[p, run] - inst.shot_charge_least[run])
        shop.bills[p] += shots * float(inst.shot_charge[p, run])
    worked = mould(shop, press, run, now, shots)
    done = [worked[ceil(n * shot) - 1] for n in range(1, shots + 1)]
    if press.broken_off is None:
        shop.lots[lot] = Lot(p, changeover, done)
    else:
        shop.lots[lot].shots_done += done
    press.broken_off = own - shots or None
    if press.broken_off is None:
        press.to_do.pop(0)
        shop.still_to_come.remove(run)
    shop.began.append((moment, lot))
    press.free = shop.lots[lot].end + int(inst.closing_s[p, run])
    shop.base_free[base] = press.free
    if inst.operators and staying_at(shop, run):
        shop.staying.append((int(inst.operator_first[p]), staying_at(shop, run), press.free))
    shop.done_at[run] = max(shop.done_at.get(run, 0), press.free)
    times = (moment, changeover[1] if changeover else moment, press.free)
    drawn = shop.dryers.drawn(p, run, shots, kg if needed else {}, times)
    shop.lines["setter"] += shop.dryers.cleanings(drawn) * inst.dryer_clean_cost
    shop.dryers.draws += drawn


def mould(shop: Workshop, press: Press, run: int, now: int, shots: int) -> list[int]:
    """The moment each working second of production is over; restarts are paid on the way."""
    inst, p = shop.inst, press.number
    rate = float(inst.press_cost_s[p])
    left = ceil(shots * Fraction(int(inst.shot_num[p, run]), int(inst.shot_den[p, run])))
    closing = int(inst.closing_s[p, run])
    restart = int(inst.restart_s[p]) + int(inst.startup_s[p, run])
    done: list[int] = []
    for opens, closes in press.stretches:
        if closes <= now or left == 0:
            continue
        begin = max(now, opens)
        there = press.hands[opens]
        closes = there if closing or staying_at(shop, run) else closes
        if closes <= begin:
            continue
        if opens not in press.warmed:
            back = bool(done and closing)
            again = int(inst.opening_s[p, run]) if back else 0
            if begin + restart + again + closing >= closes or begin + restart + again > there:
                continue
            shop.lines["press"] += (restart + again) * rate
            shop.bills[p] += (restart + again) * rate
            charge_hours(shop, p, opens, begin, begin + restart + again)
            shop.start_up(run)
            if back:
                for b in shop.left(run):
                    shop.waste(int(inst.run_melt[run, b]), float(inst.opening_kg[p, run, b]))
            press.warmed.add(opens)
            begin += restart + again
        seconds = min(left, closes - closing - begin)
        done += range(begin + 1, begin + seconds + 1)
        shop.lines["press"] += (seconds + closing) * rate
        shop.bills[p] += (seconds + closing) * rate
        if inst.tended:
            shop.lines["press"] += seconds * float(inst.tending_cost_s[p, run])
            shop.bills[p] += seconds * float(inst.tending_cost_s[p, run])
        charge_hours(shop, p, opens, begin, begin + seconds + closing)
        for b, melt in shop.left(run).items():
            shop.waste(melt, float(inst.closing_kg[p, run, b]))
        left -= seconds
    if left:
        raise CannotBeDone
    return done
