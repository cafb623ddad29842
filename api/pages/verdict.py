"""Will I keep my promises? One answer in words, before every table: whether, and the day it hangs on."""

from collections.abc import Sequence
from dataclasses import dataclass

from api.languages import gettext, wording
from api.services.standing_promise import HowSure, Sure
from planner.plan.document import TierDates

LIKELY, EVEN, UNLIKELY = 0.8, 0.5, 0.2
"""From which chance that every tier ships on time the answer is yes, rather yes, and rather no; below that it is no."""


@dataclass(frozen=True)
class Verdict:
    """answer: in a word or two; about: the tier and the day that it hangs on, or what is not known yet."""

    answer: str
    about: str


def verdict(tiers: Sequence[TierDates], sure: HowSure) -> Verdict:
    """Of a plan's tiers, as they were simulated or, until then, as they leave if all goes well."""
    if not tiers:
        return Verdict(gettext("Nothing is left to send."), "")
    if sure.tiers:
        return _simulated(tiers, sure, sure.tiers)
    wait = (
        gettext("How sure that is, is being simulated.") if sure.at_work else gettext("How sure is not simulated yet.")
    )
    late = [tier for tier in tiers if tier.days_late]
    if late:
        worst = max(late, key=lambda tier: tier.days_late)
        said = {"tier": worst.tier, "days": wording.days(worst.days_late)}
        about = gettext("%(tier)s leaves %(days)s late even if all goes well.") % said
        return Verdict(gettext("No, not all of them."), about)
    if any(tier.promised for tier in tiers):
        return Verdict(gettext("Yes, if all goes well."), wait)
    return Verdict(gettext("Nothing is promised."), wait)


def _simulated(tiers: Sequence[TierDates], sure: HowSure, known: dict[str, Sure]) -> Verdict:
    last = max(known, key=lambda tier: known[tier].by)
    by = {"share": wording.chance(known[last].share), "tier": last, "day": wording.day(known[last].by)}
    gone = gettext("%(share)s likely, the last parcel (%(tier)s) is gone by %(day)s.") % by
    if sure.on_time is None:
        return Verdict(gettext("Nothing is promised."), gone)
    if sure.on_time >= LIKELY:
        return Verdict(gettext("Yes, most likely."), gone)
    return Verdict(_answer(sure.on_time), _weakest(tiers, known) or gone)


def _answer(on_time: float) -> str:
    if on_time >= EVEN:
        return gettext("More likely than not.")
    return gettext("Probably not all of them.") if on_time >= UNLIKELY else gettext("Most likely not all of them.")


def _weakest(tiers: Sequence[TierDates], known: dict[str, Sure]) -> str:
    """The promise most likely to be broken, among equals the one broken for longest; "" where none is known."""
    by_name = {tier.tier: tier for tier in tiers}
    ranked = []
    for name, one in known.items():
        tier = by_name.get(name)
        if tier is not None and tier.promised is not None and one.chance is not None:
            ranked.append((one.chance, (tier.promised - one.by).days, name))
    if not ranked:
        return ""
    chance, _, name = min(ranked)
    tier = by_name[name]
    if tier.regions or tier.promised_to == "door":  # their days are told by region, further down
        said = {"tier": name, "chance": wording.per_cent(chance)}
        return gettext("%(tier)s has a chance of %(chance)s to keep its promise.") % said
    assert tier.promised is not None
    share = wording.chance(known[name].share)
    days = {
        "share": share,
        "tier": name,
        "day": wording.day(known[name].by),
        "promised": wording.short_day(tier.promised),
    }
    return gettext("%(tier)s, promised for %(promised)s, is %(share)s likely to be gone by %(day)s.") % days
