"""What a changeover takes: seconds, melt, compound and bridges (RULES.md, R4, R7, R10, R12)."""

from planner.schedule.instance import NEVER
from tests.planner.schedule.plain.workshop import Changes, Press, Workshop


def changes(shop: Workshop, press: Press, run: int) -> Changes:
    inst, tool, p = shop.inst, int(shop.inst.run_tool[run]), press.number
    needed, seconds, kg = press.tool != tool, 0, {}
    clearing: dict[int, float] = {}
    waits, free = 0, shop.free_for(press, run)
    if needed:
        of_its_base = press.tool is not None and inst.tool_base[press.tool] == inst.tool_base[tool]
        seconds += int((inst.insert_s if of_its_base else inst.mount_s)[tool])

    def there(material: int, asked: float) -> int:
        """When there is so much of it beyond what is used; NEVER if never."""
        steps = range(inst.supply_ptr[material], inst.supply_ptr[material + 1])
        want = float(shop.used[material]) + clearing.get(material, 0.0) + asked - 1e-9
        return min((int(inst.supply_t[s]) for s in steps if inst.supply_kg[s] >= want), default=NEVER)

    for b, new in shop.melts(run):
        kg[b] = 0.0
        old = press.melts[b]
        if old is not None and old != new:
            needed = True
            bridge = int(inst.bridge[old, new])
            with_it = bridge if bridge >= 0 else int(inst.compound)
            asked = float(inst.compound_kg[p, b, old, new]) if with_it >= 0 and inst.compound_kg.size else 0.0
            if asked > 0 and ((moment := there(with_it, asked)) <= free or inst.compound_only[p, b, old, new]):
                waits = max(waits, moment)
                clearing[with_it] = clearing.get(with_it, 0.0) + asked
                seconds += int(inst.compound_s[p, b, run, old])
                kg[b] += float(inst.compound_rinse_kg[p, b, old, new])
            else:
                seconds += int(inst.purge_s[p, b, run, old])
                kg[b] += float(inst.purge_kg[p, b, old, new])
        was = shop.runner.get((tool, b))
        if inst.hot_runner[tool, b] and was is not None and was != new:
            needed = True
            asked = float(inst.hot_compound_kg[tool, b, was, new]) if inst.compound >= 0 else 0.0
            with_it = int(inst.compound)
            if asked > 0 and ((moment := there(with_it, asked)) <= free or inst.hot_only[tool, b, was, new]):
                waits = max(waits, moment)
                clearing[with_it] = clearing.get(with_it, 0.0) + asked
                seconds += int(inst.hot_compound_s[p, b, run, was])
                kg[b] += float(inst.hot_rinse_kg[tool, b, was, new])
            else:
                seconds += int(inst.hot_s[p, b, run, was])
                kg[b] += float(inst.hot_kg[tool, b, was, new])
    if needed:
        seconds += int(inst.startup_s[p, run])
    return Changes(needed, seconds, kg, clearing, waits)


def purges(shop: Workshop, press: Press, run: int) -> bool:
    """Whether anything is purged before a run."""
    tool = int(shop.inst.run_tool[run])
    for b, new in shop.melts(run):
        held = [press.melts[b]]
        if shop.inst.hot_runner[tool, b]:
            held.append(shop.runner.get((tool, b)))
        if any(old is not None and old != new for old in held):
            return True
    return False
