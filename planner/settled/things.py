"""Things that are settled on a known day, in one shape: trials of tools, and whatever else the campaign lists."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from math import ceil

from planner.calendars.moments import first_moment
from planner.campaign import Campaign
from planner.campaign.common_case import uncertainty_of
from planner.campaign.uncertainty import FirstTrial, Fitted, Recipe, Settled, Spread, TurnsOut
from planner.settled.open_orders import move_words
from planner.settled.trial_money import trial_money

WORKS, FAILS = "works", "does-not-work"
"""How a trial may turn out."""

SECTIONS = {"tool": "tools", "piece": "pieces", "resin": "resins", "colour": "colours"}
"""Kind of what may come later -> the fields that name it, in an outcome and in a campaign."""


@dataclass(frozen=True)
class Turn:
    """One way in which a thing may turn out. later: (kind, name) -> whole calendar days it then likely comes later."""

    id: str
    words: str
    chance: float
    later: dict[tuple[str, str], int]
    cost: float = 0.0
    recipes: Mapping[str, Recipe] = field(default_factory=dict)
    """Colour -> the recipe that takes its place; what that costs is not in `cost`."""
    moves: tuple[str, ...] = ()
    """Orders that then have another colourway, in words; their recipes are among `recipes`."""


@dataclass(frozen=True)
class Thing:
    """Something settled on a known day. known: from when it is known. The first turn is what the plan counts on."""

    id: str
    about: str
    known: date | datetime
    turns: tuple[Turn, ...]


def likely_days(spread: Spread) -> int:
    """Whole days that something likely takes: begun days count whole."""
    return max(0, ceil((spread.mean if isinstance(spread, Fitted) else spread.likely) - 1e-9))


def trial_id(tool: str) -> str:
    """What the trial of a tool is called among things that are settled."""
    return f"tool/{tool}/trial"


def things(campaign: Campaign) -> list[Thing]:
    """All that is settled on a known day, the soonest first; what the plan counts on anyway is none."""
    unsure, _ = uncertainty_of(campaign)
    found = []
    for tool, said in unsure.tools.items():
        trial = said.first_trial
        if trial is not None and trial.known is not None and trial.success_chance < 1 and tool in campaign.tools:
            found.append(_trial(tool, trial, trial.known, trial_money(campaign, trial)))
    found += [_listed(name, one) for name, one in unsure.settled.items()]
    return sorted(found, key=lambda one: (first_moment(one.known), one.id))


def thing_of(campaign: Campaign, thing_id: str) -> Thing | None:
    """The thing of that id; None where the campaign has none."""
    return next((one for one in things(campaign) if one.id == thing_id), None)


def _trial(tool: str, trial: FirstTrial, known: date | datetime, money: float) -> Thing:
    works = Turn(WORKS, "it works", trial.success_chance, {})
    days = likely_days(trial.rework_days)
    fails = Turn(FAILS, "it does not work", 1 - trial.success_chance, {("tool", tool): days}, money)
    return Thing(trial_id(tool), f"the trial of tool {tool}", known, (works, fails))


def _listed(name: str, one: Settled) -> Thing:
    turns = tuple(
        Turn(
            turn_id,
            turn.what or turn_id.replace("-", " "),
            turn.chance,
            _later(turn),
            turn.cost,
            turn.recipes,
            tuple(move_words(turn)),
        )
        for turn_id, turn in one.outcomes.items()
    )
    return Thing(f"settled/{name}", one.what or name.replace("-", " "), one.known, turns)


def _later(turn: TurnsOut) -> dict[tuple[str, str], int]:
    return {
        (kind, name): likely_days(spread)
        for kind, section in SECTIONS.items()
        for name, spread in getattr(turn, section).items()
    }
