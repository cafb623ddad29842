"""A plan's workbook: a summary first, cash by week, then every list, with sums where a person would add up."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from api import wording
from api.exports.plan_lists import FORMS, plan_lists
from api.exports.values import Calculated, Value
from api.exports.workbook import Laid
from api.weekly import weekly
from planner.campaign import Campaign
from planner.plan import RunPlan

Row = Sequence[Value]


def plan_sheets(campaign: Campaign, plan: RunPlan) -> dict[str, Laid]:
    """Sheets by title, in their order. Rows come lazily: walk each once."""
    money = plan.currency
    first = {
        "Summary": Laid(("What", "Figure", "Note"), _summary(plan), ("", "figure", "long")),
        "Cash by week": Laid(
            ("Week from", "Until", "What", f"Amount {money}", f"So far {money}"),
            _weeks(plan, money),
            ("", "", "long", "amount", "amount"),
            (False, False, False, True, False),
        ),
    }
    lists = plan_lists(campaign, plan)
    return first | {name: Laid(headings, rows, *FORMS[name]) for name, (headings, rows) in lists.items()}


def _summary(plan: RunPlan) -> Iterator[Row]:
    """What somebody wants to know who opens no other sheet."""
    zone, money, outcome = ZoneInfo(plan.time_zone), plan.currency, plan.outcome
    yield "Campaign", plan.name, ""
    yield "Planned from", plan.start.astimezone(zone), f"all times are those of {plan.time_zone}"
    yield f"Cost {money}", outcome.total, "if all goes well"
    if outcome.expected is not None:
        yield f"Cost on average {money}", outcome.expected.mean, "over what may turn out otherwise"
    yield f"Best possible cost {money}", outcome.lower_bound, "no plan can cost less"
    yield "Purge kg", plan.purge_kg, "melt to clear one colour or resin by the next"
    yield "Runs", len(plan.runs), ""
    yield "Parcels", sum(batch.parcels for batch in plan.batches), ""
    for tier in plan.tiers:
        promised = f"promised by {wording.day(tier.promised)}: " if tier.promised else ""
        kept = wording.kept(tier.days_late, tier.promised is not None, None)
        yield f"Last parcel of {tier.tier}", tier.last_dispatch.astimezone(zone), promised + kept
    ordered = [(need.order_by, need.id) for need in plan.materials if need.order_by is not None]
    ordered += [(piece.order_by, piece.id) for piece in plan.pieces if piece.order_by is not None]
    if ordered:
        day, what = min(ordered)
        yield "Order first by", day, what
    weeks = weekly(plan.cash)
    if weeks:
        most = max(weeks, key=lambda week: week.amount)
        yield f"Most in one week {money}", most.amount, f"the week of {wording.day(most.first)}"
    if plan.audit is not None:
        held = sum(rule.holds for rule in plan.audit.rules)
        yield "Rules that hold", held, f"of {len(plan.audit.rules)}, checked by the auditor"


def _weeks(plan: RunPlan, money: str) -> Iterator[Row]:
    """A line a week, what it is for, and all that is paid by its end."""
    so_far = 0.0
    for week in weekly(plan.cash):
        so_far += week.amount
        yield (
            week.first,
            _sunday(week.first),
            _said(f"{line.what} {line.of}" for line in week.lines),
            week.amount,
            Calculated(f"SUM([Amount {money}]^,[Amount {money}])", so_far),
        )


def _sunday(monday: date) -> date:
    return monday + timedelta(days=6)


def _said(lines: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(line.strip() for line in lines))
