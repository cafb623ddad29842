"""The content set in type: figures written as people read them, handed to the sheets, printed to PDF by typst."""

from pathlib import Path
from typing import Any

from api.apart.typesetting import Size, typeset
from api.languages import gettext, wording
from api.languages.run_words import said_of
from api.languages.sentences import said
from api.paper.content import Paper
from api.paper.run_sheet import run_sheet
from api.paper.said import plain
from api.paper.work_rows import bought_rows, sent_rows, work_rows
from api.pictures.colours import Swatch
from api.services.standing_promise import percentile
from planner.plan.averages import BranchRun
from planner.plan.run_names import RunNames

SHEET = Path(__file__).parent / "sheets" / "paper.typ"


def print_pdf(paper: Paper, swatches: dict[str, Swatch], size: Size) -> bytes:
    """One PDF of all sheets."""
    return typeset(SHEET, written(paper, swatches), size)


def written(paper: Paper, swatches: dict[str, Swatch]) -> dict[str, Any]:
    """The paper's content as texts, sheet by sheet."""
    money = paper.currency
    called = RunNames([sheet.run for sheet in paper.runs])
    return {
        "name": paper.name,
        "under": gettext("revision %(n)s · times in %(zone)s") % {"n": paper.revision, "zone": paper.time_zone},
        "facts": [
            [gettext("starts"), wording.day(paper.start)],
            [_costs(paper), wording.exact_money(paper.total, money)],
            *_average(paper),
            [gettext("best possible cost"), wording.exact_money(paper.lower_bound, money)],
            [gettext("could still save up to"), wording.per_cent(paper.gap)],
            [gettext("purge"), wording.kilograms(paper.purge_kg)],
        ],
        "either": _either(paper),
        "tiers": _tiers(paper),
        "sure": _sure(paper),
        "likely": _likely(paper),
        "replications": wording.number(paper.replications),
        "left_out": "; ".join(map(said, paper.left_out)),
        "costs": [[said(line.what), wording.number(line.amount, 2)] for line in paper.costs],
        "campaigns": [
            [
                one.campaign,
                ", ".join(one.tiers),
                wording.number(one.parcels),
                wording.day(one.last_dispatch) + (f", {_late(one.days_late)}" if one.days_late else ""),
                wording.number(one.total, 2),
                wording.number(one.shared, 2),
            ]
            for one in paper.campaigns
        ],
        "cautions": [[said(c.about), plain(said(c.text)), said(c.source)] for c in paper.cautions],
        "runs": [run_sheet(sheet, swatches, paper.drying_hours, called) for sheet in paper.runs],
        **work_rows(paper, called),
        "wishes": [
            [
                said(wish.words),
                gettext("kept") if wish.kept else gettext("refused"),
                said_of(wish.because, called) + (f" ({wish.rule})" if wish.rule else ""),
                "–" if wish.costs is None else wording.exact_money(wish.costs, money),
            ]
            for wish in paper.wishes
        ],
        **sent_rows(paper),
        **bought_rows(paper),
    }


def _tiers(paper: Paper) -> list[list[str]]:
    """What leaves from when to when, what was promised, and whether that is kept."""
    chances = {one.tier: one.chance for one in paper.sure}
    return [
        [
            tier.tier,
            wording.number(tier.parcels),
            wording.day(tier.first_dispatch),
            wording.day(tier.last_dispatch),
            wording.day(tier.promised),
            said(wording.kept(tier.days_late, tier.promised is not None, chances.get(tier.tier))),
        ]
        for tier in paper.tiers
    ]


def _sure(paper: Paper) -> list[list[str]]:
    """The day at the chance picked first; below a tier its regions, where each has its own."""
    rows = []
    for one in paper.sure:
        held = "–" if one.chance is None else wording.per_cent(one.chance)
        rows.append([one.tier, wording.day(one.by), wording.day(one.p50), wording.day(one.p95), held])
        for there in one.regions:
            to = gettext("to %(region)s") % {"region": wording.region(there.region)}
            day = wording.day(there.by) + (f" {gettext('at the door')}" if there.door else "")
            rows.append([to, day, "", "", "–" if there.chance is None else wording.per_cent(there.chance)])
    return rows


def _likely(paper: Paper) -> str:
    """The heading of the days at the chance picked: `P80: in 80 %`."""
    if not paper.sure:
        return ""
    share = paper.sure[0].share
    return gettext("%(percentile)s: in %(share)s") % {
        "percentile": percentile(share), "share": wording.chance(share)
    }  # fmt: skip


def _average(paper: Paper) -> list[list[str]]:
    """What it costs where things are not sure."""
    if paper.mean is None:
        return []
    facts = [[gettext("costs on average"), wording.exact_money(paper.mean, paper.currency)]]
    if paper.mean_bound is not None:
        bound = wording.exact_money(paper.mean_bound, paper.currency)
        facts.append([gettext("best possible cost on average"), bound])
    if paper.chance_all is not None:
        facts.append([gettext("chance that every tier ships on time"), wording.per_cent(paper.chance_all)])
    if paper.when_late is not None:
        facts.append([gettext("when a tool is late"), said(wording.WHEN_LATE[paper.when_late])])
    return facts


def _either(paper: Paper) -> dict[str, Any] | None:
    """The sheet of a plan with branches."""
    told = paper.either_way
    if told is None:
        return None
    return {
        "title": gettext("Either way: %(what)s") % {"what": said(told.about)},
        "known": wording.moment(told.known),
        "now": [_begun(run) for run in told.now],
        "ways": [
            {
                "title": gettext("If %(words)s (%(share)s)")
                % {"words": said(way.words), "share": wording.per_cent(way.chance)},
                "costs": wording.exact_money(way.total if way.mean is None else way.mean, paper.currency),
                "tiers": [
                    *([one.tier, wording.day(one.leaves), _late(one.days_late)] for one in way.tiers),
                    *([gettext("orders"), said(moved), ""] for moved in way.moves),
                    *([gettext("masterbatch"), said(recipe), ""] for recipe in way.recipes),
                ],
                "runs": [_begun(run) for run in way.runs],
            }
            for way in told.ways
        ],
    }


def _begun(run: BranchRun) -> list[str]:
    colours = " + ".join(melt.rpartition("/")[2] for melt in run.melts)
    return [run.press, wording.moment(run.begin), f"{run.tool}, {colours}", wording.number(run.shots)]


def _late(days: int) -> str:
    return gettext("%(days)s late") % {"days": wording.days(days)} if days else ""


def _costs(paper: Paper) -> str:
    return gettext("costs") if paper.mean is None else gettext("costs if all goes well")
