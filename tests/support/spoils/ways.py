"""A register of spoils: functions that change a plan (or the campaign under it) so that one rule is broken.

Each looks for a place of its own in whatever plan it is given, and raises NoPlace where the plan offers none.
"""

import copy
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from planner.campaign import Campaign
from planner.plan.document import RunPlan


class NoPlace(Exception):
    """The plan has nothing that could be spoilt that way."""


@dataclass
class Spoilt:
    """Both documents as plain JSON data, open to change."""

    campaign: dict[str, Any]
    plan: dict[str, Any]

    def run(self, fits: Callable[[dict[str, Any]], Any] = lambda run: True) -> dict[str, Any]:
        """The first run that fits."""
        return first(self.plan["runs"], fits)

    def changed(self, where: str | None = None) -> dict[str, Any]:
        """The first run whose changeover purges something (in a barrel or a hot runner)."""
        return self.run(
            lambda run: (
                run["changeover"]
                and any(where in (None, purge["where"]) and purge["kg"] > 0 for purge in run["changeover"]["purges"])
            )
        )

    def tool(self, run: dict[str, Any]) -> dict[str, Any]:
        """The campaign's entry for the run's tool."""
        return self.campaign["tools"][run["tool"]]  # type: ignore[no-any-return]

    def material(self, line: dict[str, Any]) -> dict[str, Any]:
        """The campaign's entry for a line of the plan's materials."""
        if line["kind"] == "purging compound":
            return self.campaign["purging"]["compound"]  # type: ignore[no-any-return]
        return self.campaign["resins" if line["kind"] == "resin" else "colours"][line["id"]]  # type: ignore[no-any-return]


@dataclass(frozen=True)
class Way:
    """One way to spoil a plan. rule: who must catch it."""

    rule: str
    name: str
    change: Callable[[Spoilt], None]


WAYS: list[Way] = []


def spoils(rule: str) -> Callable[[Callable[[Spoilt], None]], Callable[[Spoilt], None]]:
    """Enter a function in the register of ways."""

    def enter(change: Callable[[Spoilt], None]) -> Callable[[Spoilt], None]:
        WAYS.append(Way(rule, change.__name__, change))
        return change

    return enter


def spoil(way: Way, campaign: Campaign, plan: RunPlan) -> tuple[Campaign, RunPlan]:
    """Both documents after the change, still well-formed. Raises NoPlace."""
    before = Spoilt(campaign.model_dump(mode="json", by_alias=True), plan.model_dump(mode="json", by_alias=True))
    after = copy.deepcopy(before)
    way.change(after)
    assert after != before, f"{way.name} changed nothing"
    return Campaign.model_validate(after.campaign), RunPlan.model_validate(after.plan)


def first(things: list[dict[str, Any]], fits: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
    """The first thing that fits, or NoPlace."""
    for thing in things:
        if fits(thing):
            return thing
    raise NoPlace


def later(moment: str, seconds: int) -> str:
    """A moment so many seconds later (earlier, if negative)."""
    return (datetime.fromisoformat(moment) + timedelta(seconds=seconds)).isoformat()


def seconds_between(one: str, other: str) -> float:
    """Seconds from one moment to another."""
    return (datetime.fromisoformat(other) - datetime.fromisoformat(one)).total_seconds()


def move(run: dict[str, Any], seconds: int) -> None:
    """The whole run, changeover and all, so many seconds later."""
    pieces = [run, *run["stretches"]] + ([run["changeover"]] if run["changeover"] else [])
    for piece in pieces:
        piece["start"], piece["end"] = later(piece["start"], seconds), later(piece["end"], seconds)


def begin(run: dict[str, Any]) -> str:
    """When the run's changeover, or else its production, begins."""
    return (run["changeover"] or run)["start"]  # type: ignore[no-any-return]
