"""A question about purging as it comes in: a barrel, colours, what is known, and what things cost."""

from collections.abc import Iterator
from typing import Annotated, Any

from anyio import to_thread
from fastapi import Request
from pydantic import Field

from api.http.bodies import fitting, read_json
from api.service import Service
from api.service.refusals import Invalid
from api.services.stored_log import logged_in
from planner.campaign.base import Amount, CurrencyCode, Document, Id, Melt, Positive
from planner.campaign.materials import Look
from planner.campaign.melt_density import LIGHTEST
from planner.campaign.pointers import pointer
from planner.campaign.presses import Barrel
from planner.campaign.products import Surface
from planner.campaign.purging import PurgeLogged, Purging
from planner.errors import Problem
from planner.purge.cost import PurgePrices
from planner.purge.estimate import Melt as NamedMelt
from planner.purge.estimate import estimate
from planner.purge.figures import appearance, barrel_figures, behind, log_entry, resin_change_of
from planner.purge.table import PurgePace, PurgeTable, purge_table
from planner.purge.times import air_shots_kg_h
from planner.reading.checks.purge_masses import MOST_HOLD_UPS, masses_of, too_heavy

MOST_MELTS = 60
LARGEST = 1_000_000
"""Bytes of a question."""


class AskedBarrel(Document):
    """The barrel asked about, and the hot runner it feeds."""

    holdup_kg: Positive = Field(description="melt the barrel holds, kg")
    hot_runner_kg: Amount = Field(default=0, description="melt in the tool's hot runner, kg; 0: a cold runner")
    press: Id = Field(default="press", description="its press, as the log and the given figures name it")
    barrel: Annotated[int, Field(ge=1, le=2)] = Field(default=1, description="which of the press's barrels")
    plasticising_kg_h: Positive | None = Field(
        default=None,
        description="polystyrene its screw melts in an hour, kg, as its data sheet says; none: by the barrel's size",
    )
    holds: Melt | None = Field(default=None, description="`resin/colour` in it now; none: clean")


class AskedColour(Look):
    """A colour asked about."""

    surface: Surface = Field(default="visible", description="of the parts in it: decides how clean is clean")
    melt_per_kg: Amount | None = Field(default=None, description="price of melt in this colour; none: the general one")


class AskedPrices(Document):
    """What it costs, in one currency; what is left out costs nothing."""

    currency: CurrencyCode = Field(default="EUR", description="ISO 4217")
    melt_per_kg: Amount = 0
    disposal_per_kg: Amount = 0
    press_per_hour: Amount = 0
    setter_per_hour: Amount = 0


class AskedPurging(Purging):
    """What the maker knows about purging, as in a campaign."""

    log: list[PurgeLogged] = Field(default=[], max_length=1000)


class PurgeQuestion(Document):
    """A set of colours on a barrel. Colours meet in every order; with `melts`, only those."""

    barrel: AskedBarrel
    shot_g: Positive = Field(description="melt of one shot through the tool, g: the hot runner is cleared so")
    purge_cycle_s: Positive = Field(
        description="seconds from shot to shot through the tool, as it really runs; the barrel is purged into the open"
    )
    melt_density: Positive | None = Field(
        default=None, description="g/cm3 of the melts: decides how fast the screw purges them; none: a light one's"
    )
    resin: Id = Field(default="resin", description="the resin of all colours, where `melts` doesn't say otherwise")
    colours: dict[Id, AskedColour] = Field(min_length=1, max_length=MOST_MELTS)
    melts: list[Melt] = Field(
        default=[], max_length=MOST_MELTS, description="`resin/colour`; none: every colour in `resin`"
    )
    prices: AskedPrices = AskedPrices()
    purging: AskedPurging = AskedPurging()
    workshop_log: bool = Field(default=False, description="count the workshop's own purge log for this barrel as well")


EXAMPLE: dict[str, Any] = {
    "barrel": {"press": "twin", "barrel": 1, "holdup_kg": 0.85, "hot_runner_kg": 0.14, "holds": "pp/cream"},
    "shot_g": 124,
    "purge_cycle_s": 20,
    "resin": "pp",
    "colours": {
        "cream": {"hex": "#efe6cf"},
        "sage": {"hex": "#8fa58a"},
        "terracotta": {"hex": "#b5623f", "strength": 1.3},
        "ink": {"hex": "#232a3f", "strength": 2},
    },
    "prices": {"currency": "GBP", "melt_per_kg": 1.9, "disposal_per_kg": 0.35, "press_per_hour": 48},
    "purging": {"given": [{"from": "pp/ink", "to": "pp/cream", "kg": 4.6}]},
}


async def read_question(request: Request, deepest: int) -> PurgeQuestion:
    """The question in the request; raises the refusals of `api.http.bodies` and Invalid with every problem."""
    _, parsed = await read_json(request, LARGEST, deepest)
    question = await fitting(PurgeQuestion, parsed)
    problems = await to_thread.run_sync(_problems, question)
    if problems:
        raise Invalid("The question contradicts itself.", problems)
    return question


def melts_of(question: PurgeQuestion) -> list[str]:
    """`resin/colour` of every melt asked about, what the barrel holds included, each once."""
    asked = question.melts or [f"{question.resin}/{colour}" for colour in question.colours]
    held = [question.barrel.holds] if question.barrel.holds else []
    return list(dict.fromkeys([*asked, *held]))


def answered(question: PurgeQuestion, service: Service, workshop_id: str) -> PurgeTable:
    """The table of every change between the melts asked about, in the order of `melts_of`."""
    asked, purging, barrel = melts_of(question), question.purging, question.barrel
    log = list(purging.log)
    if question.workshop_log:
        log += [kept.entry for kept in logged_in(service, workshop_id, barrel.press, barrel.barrel)]
    logged = {melt for entry in log for melt in (entry.from_, entry.to)}
    names = [*asked, *sorted(name for name in logged - set(asked) if name.rpartition("/")[2] in question.colours)]
    melts = [_melt(question, name) for name in names]
    tolerances = {"visible": purging.visible_tolerance, "hidden": purging.hidden_tolerance}
    sums = estimate(
        melts,
        [tolerances[question.colours[melt.colour].surface] for melt in melts],
        resin_change=resin_change_of(purging),
    )
    press, k = barrel.press, barrel.barrel - 1
    entries = [log_entry(entry, n, entry.shot_g) for n, entry in enumerate(log)]
    figures = barrel_figures(purging, press, k, barrel.holdup_kg, sums, entries).first(len(asked))
    figures = behind(purging, k, figures, barrel.hot_runner_kg)
    prices = question.prices
    per_kg = [question.colours[melt.colour].melt_per_kg for melt in figures.melts]
    melt_per_kg = [prices.melt_per_kg if own is None else own for own in per_kg]
    money = PurgePrices(
        melt_per_kg=melt_per_kg,
        compound_per_kg=purging.compound.price_per_kg if purging.compound else 0.0,
        disposal_per_kg=prices.disposal_per_kg,
        press_per_hour=prices.press_per_hour,
        setter_per_hour=prices.setter_per_hour,
    )
    try:
        return purge_table(figures, _pace(question, len(figures.melts)), money)
    except ValueError as error:  # what was asked has been looked at; the workshop's own log has not
        said, _, remedy = str(error).partition("; ")
        raise Invalid("The figures do not fit together.", [Problem("/shot_g", said, remedy)]) from None


def _pace(question: PurgeQuestion, melts: int) -> PurgePace:
    asked = question.barrel
    barrel = Barrel(holdup_kg=asked.holdup_kg, plasticising_kg_h=asked.plasticising_kg_h, shot_max_g=question.shot_g)
    air = air_shots_kg_h(barrel, question.purging.air_shot_share, question.melt_density or LIGHTEST)
    return PurgePace([air] * melts, question.shot_g, question.purge_cycle_s)


def _melt(question: PurgeQuestion, name: str) -> NamedMelt:
    resin, colour = name.rsplit("/", 1)
    return NamedMelt(resin, colour, appearance(question.colours[colour]))


def _problems(question: PurgeQuestion) -> list[Problem]:
    found = []
    named = [(pointer("melts", n), melt) for n, melt in enumerate(question.melts)]
    if question.barrel.holds:
        named.append(("/barrel/holds", question.barrel.holds))
    for where, melt in named:
        if melt.rpartition("/")[2] not in question.colours:
            found.append(Problem(where, f"nothing says how the colour of `{melt}` looks", "add it to `colours`"))
    if len(set(question.melts)) < len(question.melts):
        found.append(Problem("/melts", "a melt is listed twice", "list each melt once"))
    pairs = set()
    for n, given in enumerate(question.purging.given):
        scope = (given.from_, given.to, given.press, given.barrel)
        if given.from_ == given.to:
            found.append(Problem(pointer("purging", "given", n), f"{given.to} is purged by itself", "take it out"))
        if scope in pairs:
            found.append(Problem(pointer("purging", "given", n), "the pair is given twice", "keep one figure"))
        pairs.add(scope)
    return [*found, *too_heavy(_masses(question), question.shot_g)]


def _masses(question: PurgeQuestion) -> Iterator[tuple[tuple[str | int, ...], float]]:
    barrel = question.barrel
    yield ("barrel", "holdup_kg"), MOST_HOLD_UPS * barrel.holdup_kg
    yield ("barrel", "hot_runner_kg"), MOST_HOLD_UPS * barrel.hot_runner_kg
    yield from masses_of(question.purging, barrel.holdup_kg + barrel.hot_runner_kg)
