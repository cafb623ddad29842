"""Purge figures and log, and colours whose look is needed to estimate a purge."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting, shot_mass_g
from planner.campaign.pointers import pointer
from planner.campaign.purging import entries_of
from planner.errors import Problem
from planner.reading.checks.names import Steps
from planner.reading.checks.needs import Needs


def check_entries(campaign: Campaign) -> list[Problem]:
    """Given figures and log entries, each by itself."""
    return [*_given(campaign), *_resin_changes(campaign), *_log(campaign), *_compound(campaign)]


def _given(campaign: Campaign) -> Iterator[Problem]:
    seen: dict[tuple[str, str, str | None, int | None], int] = {}
    for n, given in enumerate(campaign.purging.given):
        here: Steps = ("purging", "given", n)
        yield from _same(here, given.from_, given.to)
        yield from _barrel(campaign, here, given.press, given.barrel)
        scope = (given.from_, given.to, given.press, given.barrel)
        if scope in seen:
            yield Problem(
                pointer(*here),
                f"a purge from {given.from_} to {given.to} is given twice (entry {seen[scope] + 1} already says it)",
                "keep one figure, or say for which press and barrel each holds",
            )
        seen.setdefault(scope, n)


def _resin_changes(campaign: Campaign) -> Iterator[Problem]:
    seen: dict[tuple[str, str], int] = {}
    for n, change in enumerate(campaign.purging.resin_changes):
        here: Steps = ("purging", "resin_changes", n)
        yield from _same(here, change.from_, change.to)
        pair = (change.from_, change.to)
        if pair in seen:
            yield Problem(
                pointer(*here),
                f"the change from {change.from_} to {change.to} is given twice (see entry {seen[pair] + 1})",
                "keep one figure",
            )
        seen.setdefault(pair, n)


def _log(campaign: Campaign) -> Iterator[Problem]:
    for n, logged in enumerate(campaign.purging.log):
        here: Steps = ("purging", "log", n)
        yield from _same(here, logged.from_, logged.to)
        yield from _barrel(campaign, here, logged.press, logged.barrel)
        if logged.kg is None and (logged.shots is None or (logged.tool is None and logged.shot_g is None)):
            yield Problem(
                pointer(*here),
                f"log entry {n + 1} doesn't say how much was purged",
                "give `kg`, or `shots` with the `tool` they were made with or with `shot_g`",
            )
        if logged.tool in campaign.tools:
            barrels = len(shot_mass_g(campaign, campaign.tools[logged.tool]))
            if logged.barrel > barrels > 0:
                yield Problem(
                    pointer(*here, "barrel"),
                    f"log entry {n + 1} purged barrel {logged.barrel} with tool `{logged.tool}`, which uses one barrel",
                    "correct the barrel or the tool",
                )


def _compound(campaign: Campaign) -> Iterator[Problem]:
    compound = campaign.purging.compound
    if compound is None:
        return
    seen: dict[tuple[str, str | None, str | None, str | None, int | None], int] = {}
    for field, n, entry in entries_of(compound):
        here: Steps = ("purging", "compound", field, n)
        if entry.from_ is not None and entry.to is not None:
            yield from _same(here, entry.from_, entry.to)
        yield from _barrel(campaign, here, entry.press, entry.barrel)
        scope = (field, entry.from_, entry.to, entry.press, entry.barrel)
        if scope in seen:
            yield Problem(
                pointer(*here), f"entry {seen[scope] + 1} speaks of the same change and place", "keep one of them"
            )
        seen.setdefault(scope, n)
    wanted = "always" in {compound.use, *(rule.use for rule in compound.rules)}
    if wanted and not compound.can_be_had:
        yield Problem(
            pointer("purging", "compound"),
            f"`{compound.name}` is wanted always, but there is none in hand or to come and none can be bought",
            "give `stock_kg`, `arrivals` or `lead_days`, or let the plan choose (`cheapest`)",
        )


def _same(here: Steps, old: str, new: str) -> Iterator[Problem]:
    if old == new:
        yield Problem(
            pointer(*here, "to"), f"{old} is purged by itself", "a melt needs no purge to follow itself: take it out"
        )


def _barrel(campaign: Campaign, here: Steps, press: str | None, barrel: int | None) -> Iterator[Problem]:
    if press in campaign.presses and barrel is not None and barrel > len(campaign.presses[press].barrels):
        yield Problem(pointer(*here, "barrel"), f"press `{press}` has no barrel {barrel}", "correct press or barrel")


def check_appearance(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Colours without a look, where a purge must be estimated from it: neither measured nor given."""
    bare = {
        name
        for name, colour in campaign.colours.items()
        if colour.hex is None and colour.lab is None and colour.reflectance is None
    }
    if not bare:
        return []
    wanting: dict[str, str] = {}
    for where, old, new in _estimated(campaign, needs):
        for colour in (old.rpartition("/")[2], new.rpartition("/")[2]):
            if colour in bare:
                wanting.setdefault(colour, f"from {old} to {new} in {where}")
    return [
        Problem(
            pointer("colours", colour),
            f"nothing says how colour `{colour}` looks, and a purge must be estimated from it ({example})",
            "give it `hex`, `lab` or `reflectance`, or give the purge under `purging`",
        )
        for colour, example in sorted(wanting.items())
    ]


def _estimated(campaign: Campaign, needs: Needs) -> Iterator[tuple[str, str, str]]:
    """(where, old, new) of every change that may come up and that nobody has measured or given."""
    known = {(g.from_, g.to, g.press, g.barrel) for g in campaign.purging.given}
    known |= {(entry.from_, entry.to, entry.press, entry.barrel) for entry in campaign.purging.log}
    coming: dict[tuple[str, int], set[str]] = {}
    for run, melts in needs.melts.items():
        for press in fitting(campaign, run[0]):
            for k, melt in enumerate(melts):
                coming.setdefault((press, k), set()).add(melt)
    for (press, k), news in sorted(coming.items()):
        held = campaign.presses[press].barrels[k].holds
        for old in sorted(news | ({held} if held else set())):
            for new in sorted(news):
                scopes = {(old, new, p, b) for p in (None, press) for b in (None, k + 1)}
                if old.rpartition("/")[2] != new.rpartition("/")[2] and not scopes & known:
                    yield f"barrel {k + 1} of press `{press}`", old, new
    yield from _hot_runners(campaign, needs)


def _hot_runners(campaign: Campaign, needs: Needs) -> Iterator[tuple[str, str, str]]:
    """A hot runner's purge is always estimated: figures and log speak of barrels."""
    for tool in sorted({tool for tool, _ in needs.melts}):
        for k, kg in enumerate(campaign.tools[tool].hot_runner_kg):
            melts = sorted({found[k] for (t, _), found in needs.melts.items() if t == tool and k < len(found)})
            for old in melts if kg > 0 else []:
                for new in melts:
                    if old != new:
                        yield f"the hot runner of tool `{tool}`", old, new
