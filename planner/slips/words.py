"""What a change means, in words a maker reads at a glance."""

from collections import defaultdict
from collections.abc import Sequence

from planner.plan.document import RunPlan
from planner.plan.phrases import days, listed
from planner.slips.document import Cell, RunChange, TierChange
from planner.wording import money

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def number(n: int) -> str:
    """Small numbers as words."""
    return NUMBERS[n] if 0 <= n < len(NUMBERS) else str(n)


def tiers_words(tiers: Sequence[TierChange]) -> str:
    """`pair and trio leave 6 days later (4 days late); single unchanged`: tiers that fare alike in one breath."""
    said, still = [], []
    alike: dict[tuple[int, int], list[str]] = defaultdict(list)
    for t in tiers:
        if t.before is None or t.after is None:
            said.append(f"{t.tier} {'is new' if t.before is None else 'is gone'}")
        elif t.days == 0:
            still.append(t.tier)
        else:
            alike[t.days, t.days_late if t.days > 0 else 0].append(t.tier)
    for (moved, late), names in alike.items():
        leave = "leaves" if len(names) == 1 else "leave"
        if moved < 0:
            how = f"{days(-moved)} earlier"
        elif late == moved:
            how = f"{days(late)} late"
        else:
            how = f"{days(moved)} later" + (f" ({days(late)} late)" if late else "")
        said.append(f"{listed(names)} {leave} {how}")
    if not said:
        return "every tier leaves as planned"
    told = ", ".join(said)
    if not still:
        return told
    return f"{told}; {'others' if len(still) > 2 else listed(still)} unchanged"


def comparison_words(before: RunPlan, after: RunPlan, tiers: Sequence[TierChange], runs: Sequence[RunChange]) -> str:
    """One sentence on dates, money and runs."""
    change = after.outcome.total - before.outcome.total
    cost = "it costs the same"
    if abs(change) >= 0.5:
        cost = f"it costs {money(abs(change), after.currency)} {'more' if change > 0 else 'less'}"
    moved = sum(r.what in ("another press", "another place in the order") for r in runs)
    order = "no run changes its place" if not moved else f"{number(moved)} run{'s' * (moved > 1)} of the order change"
    return f"{tiers_words(tiers).capitalize()}; {cost}; {order}."


def slack_words(slack: int | None) -> str:
    """How many days do nobody any harm; nothing where the first one does."""
    if slack is None:
        return "As far as was looked, nobody is late."
    return f"Up to {days(slack)} late make nobody late." if slack else ""


def row_words(cells: Sequence[Cell], slack: int | None, currency: str) -> str:
    """The worst slip looked at of one thing, kept and planned anew, and what can be borne."""
    worst = max((c for c in cells if c.policy == "nothing else changes"), key=lambda c: c.days)
    anew = next((c for c in cells if c.policy == "planned anew" and c.days == worst.days), None)
    words = [slip_words(worst.kind, worst.name, worst, anew, currency), slack_words(slack)]
    return " ".join(part for part in words if part)


def slip_words(kind: str, name: str, kept: Cell, anew: Cell | None, currency: str) -> str:
    """`Ten days on the shell tool: pair leaves 6 days late; others unchanged; planning again wins back 4 days.`"""
    thing = {"tool": f"the {name} tool", "piece": f"deliveries of {name}", "resin": f"resin {name}"}.get(
        kind, f"masterbatch {name}"
    )
    begin = f"{number(kept.days).capitalize()} day{'s' * (kept.days != 1)} on {thing}: "
    if not kept.possible:
        end = "the order of work as planned cannot be carried out any more"
        return begin + end + ("; planned anew it can." if anew is not None and anew.possible else ".")
    said = tiers_words(kept.tiers)
    if kept.people:
        people = "one order waits" if kept.people == 1 else f"{kept.people:,} orders wait"
        said += f"; {people} up to {days(kept.longest_days)} longer"
    if kept.cost_change is not None and abs(kept.cost_change) >= 0.5:
        said += f"; {money(abs(kept.cost_change), currency)} {'more' if kept.cost_change > 0 else 'less'}"
    if anew is None or not anew.possible:
        return f"{begin}{said}."
    back = max((k.days - a.days for k, a in zip(kept.tiers, anew.tiers, strict=True)), default=0)
    saved = (kept.cost_change or 0.0) - (anew.cost_change or 0.0)
    if back > 0:
        said += f"; planning again wins back {days(back)}"
        said += f" and {money(saved, currency)}" if saved >= 0.5 else ""
    elif saved >= 0.5:
        said += f"; planning again wins back no day but {money(saved, currency)}"
    elif kept.people > anew.people:
        said += f"; planned again {_fewer(kept.people - anew.people)}"
    elif kept.longest_days > anew.longest_days:
        said += f"; planned again nobody waits more than {days(anew.longest_days)} longer"
    elif any(t.days > 0 for t in kept.tiers):
        said += "; planning again does not help"
    return f"{begin}{said}."


def _fewer(people: int) -> str:
    return "one order fewer waits" if people == 1 else f"{people:,} orders fewer wait"
