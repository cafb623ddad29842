"""A run plan as text for a terminal: when each tier leaves, what runs where, what is purged, what it costs."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from api.languages.wording import LATE_SHORT
from planner.plan import RunPlan
from planner.plan.document import Run
from planner.wording import day, exact_money, money, number, plain, short_day, short_moment


def readable(plan: RunPlan) -> str:
    """The plan in about as many lines as it has runs."""
    parts = [
        [plan.name, _outcome(plan), _verdict(plan)],
        ["On average", *_average(plan)],
        ["Tiers", *_columns(_tiers(plan))],
        ["Runs", *_columns(_runs(plan))],
        ["Purge", *_purges(plan)],
        ["Cost", *_columns(_costs(plan))],
        ["Each campaign apart", *(_columns(_campaigns(plan)) if plan.campaigns else [])],
        ["Cautions", *(f"  {one.about}: {one.text} ({one.source})" for one in plan.cautions)],
    ]
    return plain("\n\n".join("\n".join(part) for part in parts if len(part) > 1))


def in_short(plan: RunPlan) -> str:
    """What it costs, when each tier leaves and what runs where, of a plan that no search has made."""
    parts = [
        [plan.name, money(plan.outcome.total, plan.currency), _verdict(plan)],
        ["Tiers", *_columns(_tiers(plan))],
        ["Runs", *_columns(_runs(plan))],
    ]
    return plain("\n\n".join("\n".join(part) for part in parts))


def promised(promise: dict[str, Any]) -> list[str]:
    """Each tier's dates, from a simulation of the plan."""
    rows: list[tuple[str, ...]] = [("tier", "announce", "as planned", "P50", "P80", "P95", "promised", "chance")]
    for tier in promise["tiers"]:
        dates = [tier["announce"], *(tier["dates"][name] for name in ("planned", "p50", "p80", "p95"))]
        chance = "-" if tier["chance"] is None else f"{tier['chance']:.0%}"
        told = (day(date.fromisoformat(one)) if one else "-" for one in [*dates, tier["promised"]])
        rows.append((tier["tier"], *told, chance))
    return _columns(rows)


def _outcome(plan: RunPlan) -> str:
    end = plan.outcome
    return (
        f"{money(end.total, plan.currency)}; best possible cost {number(end.lower_bound, 2)} "
        f"({end.avoidable_gap:.1%} of what the order of work decides could still be saved); {end.ended}"
    )


def _average(plan: RunPlan) -> Iterable[str]:
    """What it costs on average, where things are not sure."""
    mean = plan.outcome.expected
    if mean is None:
        return
    error = f"standard error {number(mean.standard_error, 2)}"
    yield f"  {money(mean.mean, plan.currency)} over {mean.replications} scenarios, {error}"
    yield f"  {number(mean.saved, 2)} less than the plan that is cheapest if all goes well"
    late = [tier.tier for tier in plan.tiers if tier.days_late]
    if mean.certain_late is not None and len(late) > len(mean.certain_late):
        then = f"{number(mean.certain_total, 2)} then, {len(mean.certain_late)} of them late"
        yield f"  late even if all goes well, on purpose: {', '.join(late)} (that plan costs {then})"
    if mean.bound is not None and mean.bound_low is not None:
        yield (
            f"  best possible cost on average {number(mean.bound, 2)} (95 % sure: not less than "
            f"{number(mean.bound_low, 2)}); knowing everything beforehand would save at most "
            f"{number(mean.mean - mean.bound, 2)}"
        )
    if mean.chance_all is not None:
        yield f"  chance that every tier ships on time: {mean.chance_all:.1%}"
    for one in mean.policies:
        mark = "this plan: " if one.policy == mean.policy else ""
        yield f"  {mark}when a tool is late, {LATE_SHORT[one.policy]}: {number(one.mean, 2)}"
    for kept in mean.promises:
        why = f"; {kept.why}" if kept.why else ""
        yield f"  {kept.tier}: kept with a chance of {kept.chance:.1%}, asked for was {kept.asked:.0%}{why}"


def _verdict(plan: RunPlan) -> str:
    if plan.audit is None:
        return "not audited"
    held = sum(rule.holds for rule in plan.audit.rules)
    return f"audit: {held} of {len(plan.audit.rules)} rules hold"


def _tiers(plan: RunPlan) -> Iterable[tuple[str, ...]]:
    yield "tier", "parcels", "promised", "first dispatch", "last dispatch", "late"
    for tier in plan.tiers:
        late = f"{tier.late_parcels} parcels, {tier.days_late} days" if tier.days_late else "-"
        promised = short_day(tier.promised) if tier.promised else "-"
        first, last = short_day(tier.first_dispatch), short_day(tier.last_dispatch)
        yield tier.tier, str(tier.parcels), promised, first, last, late


def _runs(plan: RunPlan) -> Iterable[tuple[str, ...]]:
    yield "press", "start", "end", "tool", "melts", "shots", "mount", "purge kg"
    for run in plan.runs:
        mount = f"{run.changeover.mount_seconds // 60} min" if run.changeover else "-"
        purge = f"{_purge_kg(run):.2f}"
        melts = " + ".join(run.melts)
        yield run.press, short_moment(run.start), short_moment(run.end), run.tool, melts, str(run.shots), mount, purge


def _purge_kg(run: Run) -> float:
    return sum(purge.kg for purge in run.changeover.purges) if run.changeover else 0.0


def _purges(plan: RunPlan) -> Iterable[str]:
    purges = [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]
    low, high = sum(purge.kg_p10 for purge in purges), sum(purge.kg_p90 for purge in purges)
    yield f"  {plan.purge_kg:.2f} kg in {len(purges)} changes, likely between {low:.2f} and {high:.2f} kg"
    for basis in ("measured", "given", "estimated"):
        of_basis = [purge.kg for purge in purges if purge.basis == basis]
        if of_basis:
            yield f"  {basis}: {sum(of_basis):.2f} kg in {len(of_basis)} changes"


def _costs(plan: RunPlan) -> Iterable[tuple[str, ...]]:
    for line in plan.costs:
        yield line.what, number(line.amount, 2)
    yield "total", exact_money(plan.outcome.total, plan.currency)


def _campaigns(plan: RunPlan) -> Iterable[tuple[str, ...]]:
    yield "campaign", "tiers", "parcels", "last dispatch", "late", "costs", "of it shared"
    for one in plan.campaigns:
        late = f"{one.late_parcels} parcels, {one.days_late} days" if one.days_late else "-"
        last, total, shared = short_day(one.last_dispatch), number(one.total, 2), number(one.shared, 2)
        yield one.campaign, ", ".join(one.tiers), str(one.parcels), last, late, total, shared


def _columns(rows: Iterable[tuple[str, ...]]) -> list[str]:
    table = list(rows)
    widths = [max(len(row[column]) for row in table) for column in range(len(table[0]))] if table else []
    return [
        "  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip() for row in table
    ]
