"""The three sets of scenarios: one to search by, one to choose by, one to report on, none drawn twice.

Their seeds follow from the model's hash, so that the same campaign meets the same scenarios, and another set is another
seed: what was chosen because it looked good on one set is judged on one that had no part in it (Kleywegt, Shapiro,
Homem-de-Mello, SIAM J. Optimization 12(2) 2002).
"""

import hashlib
from dataclasses import dataclass

from planner.expected.budgets import CHOSEN_BY, SCREENED, reported
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.schedule.encode import Names
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance, Ints, fingerprint
from planner.settled.looks import ByOutcome

Turned = dict[str, Ints]
"""Thing that is settled on a day -> (K) number of how it turns out."""

WIDE = 480
"""Scenarios drawn for branches: a rare outcome has few of them."""


@dataclass(frozen=True)
class ScenarioSets:
    """Scenarios to search by, to choose by and to report on; the report's seed. turned: how things that are settled on
    a day turn out in them. wide: where there are such things, more scenarios, of which each branch takes its own."""

    screen: Scenarios
    choose: Scenarios
    report: Scenarios
    seed: int
    choose_turned: Turned
    report_turned: Turned
    wide: Scenarios
    wide_turned: Turned


def scenario_sets_for(
    inst: Instance, names: Names, model_hash: str | None = None, number: int | None = None
) -> ScenarioSets:
    """Draw them. model_hash: of the campaign's instance; number: of scenarios to report on, None: by size."""
    known = fingerprint(inst) if model_hash is None else model_hash

    looks = ByOutcome(inst, names)

    def drawn(purpose: str, many: int) -> tuple[Scenarios, Turned]:
        drawn = draw(names.campaign, many, seed_of(known, purpose))
        return written(inst, names, drawn, looks), drawn.turned

    screen, turned = drawn("search", SCREENED)
    choose, choose_turned = drawn("choose", CHOSEN_BY)
    report, report_turned = drawn("report", reported(inst) if number is None else number)
    wide, wide_turned = drawn("branches", WIDE) if turned else (screen, turned)
    return ScenarioSets(
        screen, choose, report, seed_of(known, "report"), choose_turned, report_turned, wide, wide_turned
    )


def seed_of(model_hash: str, purpose: str) -> int:
    """A seed of its own for each purpose."""
    return int.from_bytes(hashlib.sha256(f"{model_hash}/{purpose}".encode()).digest()[:4], "big") >> 1
