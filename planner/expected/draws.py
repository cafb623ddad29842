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
from planner.schedule.instance import Instance, fingerprint


@dataclass(frozen=True)
class Draws:
    """Scenarios to search by, to choose by and to report on; the report's seed."""

    screen: Scenarios
    choose: Scenarios
    report: Scenarios
    seed: int


def draws_for(inst: Instance, names: Names, model_hash: str | None = None, number: int | None = None) -> Draws:
    """Draw them. model_hash: of the campaign's instance; number: of scenarios to report on, None: by size."""
    known = fingerprint(inst) if model_hash is None else model_hash

    def drawn(purpose: str, many: int) -> Scenarios:
        return written(inst, names, draw(names.campaign, many, seed_of(known, purpose)))

    return Draws(
        drawn("search", SCREENED),
        drawn("choose", CHOSEN_BY),
        drawn("report", reported(inst) if number is None else number),
        seed_of(known, "report"),
    )


def seed_of(model_hash: str, purpose: str) -> int:
    """A seed of its own for each purpose."""
    return int.from_bytes(hashlib.sha256(f"{model_hash}/{purpose}".encode()).digest()[:4], "big") >> 1
