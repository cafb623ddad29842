"""A6, cautions: what can hurt someone in this plan is said in it, and every caution defers to what comes first.

Read anew from the two documents, by what a caution must speak of and whom it must name; its wording is the planner's.
"""

from collections.abc import Iterator

from planner.audit.case import Case
from planner.audit.findings import Findings
from planner.audit.others import NOBODY_KNOWS
from planner.audit.resin_heat import family_words
from planner.audit.resin_reading import read_resin
from planner.campaign.hours import weekly
from planner.plan.document import Caution

FIRST = "local codes"
"""Words with which every caution defers to what comes first."""

ABOUT_ITSELF = ("the audit of this plan", "this planner, about itself")
"""Sources of what a plan says of a fault in itself, which is nothing to be careful of."""

CHLORINATED = {"pvc", "pvcabs", "pvcpmma", "pvdc", "pec", "vcvac"}
STYRENIC = {"abs": {"abs", "pcabs", "pvcabs"}, "ps": {"ps"}}
"""Words of the auditor's families (`resin_heat`) by what is said of their fumes."""

Owed = tuple[str, tuple[str, ...]]
"""What a caution is about, and words of which its text and source must have every one."""


def cautions(case: Case, notes: Findings) -> None:
    """Every caution that is owed, and that each ends as it must."""
    told = [_words(said) for said in case.plan.cautions]
    for about, words in _owed(case):
        if not any(all(word in text for word in words) for text in told):
            notes.fault(f"the plan owes a caution about {about}")
    for said in case.plan.cautions:
        if said.source not in ABOUT_ITSELF and FIRST not in said.text.lower():
            notes.fault(f"the caution about {said.about} does not say that local codes come first")


def _purged_out(case: Case) -> Iterator[str]:
    """Resins that a changeover purges out, where the plan says how hot what comes goes in (plans of before do not)."""
    for work in case.works:
        for purge in work.run.changeover.purges if work.run.changeover else []:
            resin = purge.from_.rpartition("/")[0]
            if purge.goes_in and resin in case.campaign.resins:
                yield resin


def _beyond_a_crew(case: Case) -> Iterator[str]:
    """Presses with runs and benches open over 48 hours in an ordinary week, or with less than 11 to the next day."""
    campaign = case.campaign
    places = {f"press `{press}`": campaign.presses[press].hours for press in {work.run.press for work in case.works}}
    places |= {"the assembly bench": campaign.assembly.hours, "the packing bench": campaign.packing.hours}
    for name, hours in places.items():
        days = [spans for spans in weekly(hours).values() if spans]
        long = any(max(span.end for span in day) - min(span.start for span in day) > (24 - 11) * 60 for day in days)
        if long or sum(span.end - span.start for day in days for span in day) > 48 * 60:
            yield name


def _words(said: Caution) -> str:
    return f"{said.about} {said.text} {said.source}".lower()


def _owed(case: Case) -> Iterator[Owed]:
    changes = [work.run.changeover for work in case.works if work.run.changeover]
    if any(change.mount_seconds or change.from_tool for change in changes):
        yield "changing tools with the press locked out", ("lock out", "29 cfr 1910.147")
    if any(change.purges for change in changes) or any(s.closing for work in case.works for s in work.run.stretches):
        yield "purging", ("purging", "under pressure", "face shield", "guard closed", "osha")
    if any(purge.compound_kg > 0 for change in changes for purge in change.purges):
        yield "the purging compound", ("purging compound", "safety data sheet")
    for work in case.works:
        for purge in work.run.changeover.purges if work.run.changeover else []:
            if purge.from_ == NOBODY_KNOWS:
                where = f"hot runner of tool `{work.run.tool}`"
                if purge.where == "barrel":
                    where = f"barrel {purge.barrel} of press `{work.run.press}`"
                yield f"what nobody knows in {where}", ("nobody has said", where.lower(), "dearest", "ask whoever")
        if work.tool.clamp_kn == 0:
            yield f"the clamp force of `{work.run.tool}`", (f"`{work.run.tool}`".lower(), "clamp force", "not checked")
    for name in _beyond_a_crew(case):
        yield f"the hours of {name}", ("one crew", "2003/88/ec", name.lower())
    used = {resin for work in case.works for resin, _ in work.melts}
    read = {resin: read_resin(resin, case.campaign.resins[resin]) for resin in sorted(used | set(_purged_out(case)))}
    if any(what.acetal or what.halogenated for what in read.values()):
        yield "POM and PVC", ("pom", "pvc", "never", "grinder")
    for resin, what in read.items():
        families = family_words(resin, case.campaign.resins[resin])
        if what.acetal and what.halogenated and what.unsure:
            yield f"what `{resin}` is made of", (f"`{resin}`".lower(), "data sheet")
        elif what.acetal:
            yield "fumes of POM", ("formaldehyde", "ventilate")
        elif families & CHLORINATED:
            yield "fumes of PVC", ("hydrogen chloride", "ventilate")
        if what.acetal and not what.halogenated and resin in used:
            yield "how long POM may stay hot", ("pom", "60 min at 200", "data sheet")
        for family, blends in STYRENIC.items():
            if families & blends:
                yield f"fumes of {family}", (f"fumes of {family}", "styrene", "ventilate")
    for load in case.plan.drying:
        stays = (case.clock.second(load.used_until) - case.clock.second(load.dry_at)) / 3600
        if (stays if load.waits_hours is None else load.waits_hours) > 4 + 1 / 1800:
            yield f"dried `{load.resin}` that waits", (f"`{load.resin}`".lower(), "dry it again")
