"""A plan's workbook: a summary first, cash by week, then every list that holds something, with sums where a person
would add up."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import chain
from zoneinfo import ZoneInfo

from api.exports.plan_lists import FORMS, plan_lists, shown_headings
from api.exports.values import Calculated, Value
from api.exports.weekly import weekly
from api.exports.workbook import Laid
from api.languages import gettext, wording
from api.languages.sentences import said
from api.services.standing_promise import Sure
from planner.campaign import Campaign
from planner.plan import RunPlan

Row = Sequence[Value]
NOT_SIMULATED: Mapping[str, Sure] = {}


def plan_sheets(campaign: Campaign, plan: RunPlan, sure: Mapping[str, Sure] = NOT_SIMULATED) -> dict[str, Laid]:
    """Sheets by title, in their order and in the reader's language. Rows come lazily: walk each once. sure: tier -> how
    sure its dates are, where they were simulated."""
    money, total = plan.currency, gettext("Total")
    by_week = ("Week from", "Until", "What", f"Amount {money}", f"So far {money}")
    shown = (
        gettext("Week from"),
        gettext("Until"),
        gettext("What"),
        gettext("Amount {money}").format(money=money),
        gettext("So far {money}").format(money=money),
    )
    first = {
        gettext("Summary"): Laid(
            (gettext("What"), gettext("Figure"), gettext("Note")), list(_summary(plan, sure)), ("", "figure", "long")
        ),
        gettext("Cash by week"): Laid(
            by_week,
            list(_weeks(plan, money)),
            ("", "", "long", "amount", "amount"),
            (False, False, False, True, False),
            shown,
            total,
        ),
    }
    lists = {name: (headings, _held(rows)) for name, (headings, rows) in plan_lists(campaign, plan).items()}
    return first | {
        gettext(name): Laid(headings, rows, *FORMS[name], shown_headings(name, money), total)
        for name, (headings, rows) in lists.items()
        if rows is not None
    }


def _held(rows: Iterable[Row]) -> Iterable[Row] | None:
    """The rows, of which the first was looked at; None: there is none, and a sheet of headings would say nothing."""
    left = iter(rows)
    first = next(left, None)
    return None if first is None else chain((first,), left)


def _summary(plan: RunPlan, sure: Mapping[str, Sure]) -> Iterator[Row]:
    """What somebody wants to know who opens no other sheet."""
    zone, money, outcome = ZoneInfo(plan.time_zone), plan.currency, plan.outcome
    yield gettext("Campaign"), plan.name, ""
    times = gettext("all times are those of %(zone)s") % {"zone": plan.time_zone}
    yield gettext("Planned from"), plan.start.astimezone(zone), times
    yield gettext("Cost {money}").format(money=money), outcome.total, gettext("if all goes well")
    if outcome.expected is not None:
        average = gettext("Cost on average {money}").format(money=money)
        yield average, outcome.expected.mean, gettext("over what may turn out otherwise")
    best = gettext("Best possible cost {money}").format(money=money)
    yield best, outcome.lower_bound, gettext("no plan can cost less")
    yield gettext("Purge kg"), plan.purge_kg, gettext("melt to clear one colour or resin by the next")
    yield gettext("Runs"), len(plan.runs), ""
    yield gettext("Parcels"), sum(batch.parcels for batch in plan.batches), ""
    for tier in plan.tiers:
        if tier.tier in sure:
            yield from _likely(tier.tier, sure[tier.tier])
        by = gettext("promised by %(day)s") % {"day": wording.day(tier.promised)}
        kept = said(wording.kept(tier.days_late, tier.promised is not None, None))
        last = gettext("Last parcel of %(tier)s") % {"tier": tier.tier}
        well = gettext("if all goes well")
        yield last, tier.last_dispatch.astimezone(zone), f"{well}; {by}: {kept}" if tier.promised else f"{well}; {kept}"
    ordered = [(need.order_by, need.id) for need in plan.materials if need.order_by is not None]
    ordered += [(piece.order_by, piece.id) for piece in plan.pieces if piece.order_by is not None]
    if ordered:
        day = min(ordered)[0]
        yield gettext("Order first by"), day, ", ".join(what for by, what in ordered if by == day)
    weeks = weekly(plan.cash)
    if weeks:
        most = max(weeks, key=lambda week: week.amount)
        week = gettext("the week of %(day)s") % {"day": wording.day(most.first)}
        yield gettext("Most in one week {money}").format(money=money), most.amount, week
    if plan.audit is not None:
        held = sum(rule.holds for rule in plan.audit.rules)
        yield (
            gettext("Rules that hold"),
            held,
            gettext("of %(n)s, checked by the auditor") % {"n": len(plan.audit.rules)},
        )


def _likely(tier: str, sure: Sure) -> Iterator[Row]:
    """The day that holds in the share picked, by region where those differ."""
    gone = gettext("Last parcel of %(tier)s, %(share)s likely by")
    share = wording.chance(sure.share)
    note = "" if sure.chance is None else wording.per_cent(sure.chance) + " " + gettext("chance to keep it")
    yield gone % {"tier": tier, "share": share}, sure.by, note
    for region, there in sure.regions.items():
        of = gettext("%(tier)s to %(region)s") % {"tier": tier, "region": wording.region(region)}
        yield gone % {"tier": of, "share": share}, there.by, gettext("at the door") if there.door else ""


def _weeks(plan: RunPlan, money: str) -> Iterator[Row]:
    """A line a week, what it is for, and all that is paid by its end."""
    so_far = 0.0
    for week in weekly(plan.cash):
        so_far += week.amount
        yield (
            week.first,
            _sunday(week.first),
            _said(f"{said(line.what)} {said(line.of)}" for line in week.lines),
            week.amount,
            Calculated(f"SUM([Amount {money}]^^)", so_far),
        )


def _sunday(monday: date) -> date:
    return monday + timedelta(days=6)


def _said(lines: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(line.strip() for line in lines))
