"""Where each caution applies: from the campaign and the plan's runs."""

from collections.abc import Collection, Iterator, Sequence
from itertools import combinations

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.forbidden import is_acetal, is_halogenated, why_forbidden
from planner.campaign.hours import Open
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import nature
from planner.cautions import dwell, texts
from planner.cautions.not_said import not_said
from planner.cautions.standing import standing
from planner.cautions.texts import caution
from planner.cautions.unattended import unattended_loads
from planner.cautions.working_time import beyond_one_crew
from planner.dispatch.lifting import Lift, assess
from planner.material import DryingLoad
from planner.plan.document import Caution, Run
from planner.purge.cautions import colour_cautions
from planner.purge.finish import EFFECTS

PACK_BENCH = Lift("from the pack bench")


def cautions_for(
    campaign: Campaign,
    runs: Sequence[Run],
    heaviest_parcel_kg: float | None = None,
    drying: Sequence[DryingLoad] = (),
) -> list[Caution]:
    """Every caution that applies to a plan, in the order of the work; each ends by deferring to local codes.

    heaviest_parcel_kg: gross, where it is known. drying: the plan's dryer loads.
    """
    changes = [run.changeover for run in runs if run.changeover is not None]
    handled = {resin for run in runs for resin in handled_in(run)} & set(campaign.resins)
    found = [
        *_never_together(campaign, handled),
        *_unknown(campaign, handled),
        *not_said(campaign, runs),
        *_drying(drying),
        *unattended_loads(campaign, drying),
    ]
    if any(change.mount_seconds or change.from_tool for change in changes):
        found.append(caution(*texts.TOOL_CHANGE))
    if any(map(throws_melt, runs)):
        found.append(caution(*texts.PURGING))
    found += _compound(campaign, runs)
    return [
        *found,
        *_fumes(campaign, handled),
        *_colours(campaign, runs),
        *_dwell(campaign, runs),
        *standing(campaign, runs),
        *_working_time(campaign, {run.press for run in runs}),
        *_lifting(heaviest_parcel_kg),
    ]


def handled_in(run: Run) -> set[str]:
    """Resins that whoever makes the run has hot before them: moulded, purged out, put between or cleared with."""
    purges = [*(run.changeover.purges if run.changeover else []), *(p for s in run.stretches for p in s.purges)]
    closings = [one for s in run.stretches if s.closing for one in s.closing.cleared]
    melts = [*run.melts, *(purge.from_ for purge in purges), *(one.to for one in closings)]
    return {melt.rpartition("/")[0] for melt in melts} | {purge.bridge for purge in purges if purge.bridge}


def throws_melt(run: Run) -> bool:
    """Whether anything is purged: before the run, at its starts, or to clear what must not stand."""
    changed = run.changeover is not None and bool(run.changeover.purges)
    return changed or any(stretch.closing or stretch.purges for stretch in run.stretches)


def fumes_of(name: str, resin: Resin) -> set[str]:
    """What is said of the fumes of a resin: keys of `FUMES`."""
    what = nature(name, resin)
    found = {"POM"} if what.acetal and not what.doubt else set()
    if what.family is not None:
        found |= what.family.belongs_to & set(texts.FUMES)
        found |= {"PVC"} if what.family.danger == "halogen" else set()
    elif what.speaks_of_halogen:
        found.add("PVC")
    flame_retardant = what.halogenated and not what.doubt and "PVC" not in found
    return found | ({"FR"} if flame_retardant else set())


def _never_together(campaign: Campaign, used: Collection[str]) -> Iterator[Caution]:
    if any(check(name, campaign.resins[name]) for name in used for check in (is_acetal, is_halogenated)):
        yield caution(*texts.ACETAL)
    for one, other in combinations(sorted(used), 2):
        if any({one, other} == {pair.one, pair.other} for pair in campaign.forbidden_pairs):
            why = why_forbidden(campaign, one, other)
            text = f"`{one}` and `{other}` never meet in a barrel, dryer or hot runner in this plan: {why}."
            yield caution(f"{one} and {other}", text, "the campaign's `forbidden_pairs`")


def _unknown(campaign: Campaign, used: Collection[str]) -> Iterator[Caution]:
    """Resins of which the planner knows no row of its table of families."""
    for resin in sorted(used):
        what = nature(resin, campaign.resins[resin])
        if what.family is None:
            apart = texts.UNKNOWN_APART if what.doubt else ""
            yield caution(f"unknown {resin}", texts.UNKNOWN.format(resin=resin) + apart, texts.UNKNOWN_SOURCE)


def _compound(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    compound = campaign.purging.compound
    if compound is not None and any(map(cleans_with_compound, runs)):
        about = f"{texts.COMPOUND_ABOUT} {compound.name}"
        yield caution(about, *texts.COMPOUND)
        for said in compound.cautions:
            yield caution(about, said if said.endswith(".") else f"{said}.", texts.COMPOUND_SUPPLIER)


def cleans_with_compound(run: Run) -> bool:
    """Whether a purging compound is used before the run."""
    return run.changeover is not None and any(purge.compound_kg > 0 for purge in run.changeover.purges)


def _drying(loads: Sequence[DryingLoad]) -> Iterator[Caution]:
    longest: dict[str, DryingLoad] = {}
    for load in loads:
        if load.caution and (load.resin not in longest or load.waits_hours > longest[load.resin].waits_hours):
            longest[load.resin] = load
    for resin in sorted(longest):
        yield caution(f"dried {resin}", longest[resin].caution, texts.DRYING_SOURCE)


def _fumes(campaign: Campaign, handled: Collection[str]) -> Iterator[Caution]:
    for key in sorted(set().union(*(fumes_of(name, campaign.resins[name]) for name in handled))):
        yield caution(*texts.FUMES[key], texts.FUMES_SOURCE if key in texts.FUMES_PRINTED else texts.FUMES_KNOWN)


def _colours(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    melts = {melt for run in runs for melt in run.melts} | {melt for run in runs for melt in _flakes_out(campaign, run)}
    for colour, said in colour_cautions(campaign, melts).items():
        text = ". ".join(one[:1].upper() + one[1:] for one in said)
        yield caution(f"colour {colour}", f"{text}.", texts.COLOUR_SOURCE)


def _flakes_out(campaign: Campaign, run: Run) -> Iterator[str]:
    """Melts with flakes that a changeover purges out, moulded or not: what is left of them shows in what comes."""
    for purge in run.changeover.purges if run.changeover else []:
        colour = campaign.colours.get(purge.from_.rpartition("/")[2])
        if colour is not None and EFFECTS[colour.finish].flakes:
            yield purge.from_


def _dwell(campaign: Campaign, runs: Sequence[Run]) -> Iterator[Caution]:
    """For each press and tool that mould POM: how long it stays in barrel and hot runner, and how long it may."""
    seen = set()
    for run in runs:
        for k, melt in enumerate(run.melts):
            resin = melt.rpartition("/")[0]
            what = nature(resin, campaign.resins[resin])
            if not what.acetal or what.doubt or (run.press, run.tool, k) in seen:
                continue
            seen.add((run.press, run.tool, k))
            shot = shot_mass_g(campaign, campaign.tools[run.tool])[k]
            holdup = campaign.presses[run.press].barrels[k].holdup_kg
            behind = campaign.tools[run.tool].hot_runner_kg
            hot_runner = behind[k] if k < len(behind) else 0.0
            minutes = dwell.residence_minutes(holdup + hot_runner, shot, run.shot_seconds)
            limit = dwell.hottest(minutes)
            smaller = "barrel or hot runner" if hot_runner else "barrel"
            verdict = f"so at most {limit} °C" if limit else f"longer than any of these allows: use a smaller {smaller}"
            place = f"barrel {k + 1} of press `{run.press}` with tool `{run.tool}`"
            held = f"{holdup:g} kg at {shot:g} g a shot"
            if hot_runner:
                place = f"barrel {k + 1} of press `{run.press}` and the hot runner of tool `{run.tool}`"
                held = f"{holdup:g} and {hot_runner:g} kg at {shot:g} g a shot"
            yield caution(
                texts.DWELL_ABOUT,
                f"POM stays about {minutes:.0f} min in {place} ({held}), {verdict}. It may stay {dwell.said()}; "
                f"before a longer stop, empty {'both' if hot_runner else 'the barrel'}.",
                texts.DWELL_SOURCE,
            )


def _working_time(campaign: Campaign, presses: Collection[str]) -> Iterator[Caution]:
    places: list[tuple[str, Open]] = [(f"press `{press}`", campaign.presses[press]) for press in sorted(presses)]
    places += [("the assembly bench", campaign.assembly), ("the packing bench", campaign.packing)]
    reasons = [reason for name, open_ in places if (reason := beyond_one_crew(name, open_)) is not None]
    if reasons:
        yield caution(
            "working time",
            f"One crew must not cover all these hours; plan shifts: {'; '.join(reasons)}. Usual rule: at most 48 h in "
            "an average week and 11 h of rest a day.",
            texts.WORKING_TIME_SOURCE,
        )


def _lifting(heaviest_kg: float | None) -> Iterator[Caution]:
    if heaviest_kg is not None:
        for finding in assess(heaviest_kg, [PACK_BENCH]):
            if finding.caution:
                yield caution("lifting", finding.caution, texts.LIFTING_SOURCE)
