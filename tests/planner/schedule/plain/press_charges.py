"""A moulder's price list: bills, shifts, least sums."""

from tests.planner.schedule.plain.workshop import Workshop


def close_bill(shop: Workshop, p: int) -> None:
    """Charge a press what its run falls short of the least."""
    if shop.inst.charging and shop.bills[p]:
        shop.lines["press"] += max(0.0, float(shop.inst.least_bill[p]) - shop.bills[p])
    shop.bills[p] = 0.0


def charge_hours(shop: Workshop, p: int, opens: int, begin: int, end: int) -> None:
    """Every shift of an opening in which something is worked, once."""
    inst = shop.inst
    if not inst.charging or not inst.shift_s[p]:
        return
    length = int(inst.shift_s[p])
    shifts = {(p, opens, n) for n in range((end - opens) // length + 1)
              if max(begin, opens + n * length) < min(end, opens + (n + 1) * length)}  # fmt: skip
    shop.lines["press"] += len(shifts - shop.charged) * float(inst.shift_charge[p])
    shop.charged |= shifts
