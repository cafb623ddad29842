"""Published and hand-book schedules through the very code that plans presses and benches.

scheduling_vectors.json: Johnson's rule examples recalled from Heizer & Render and from Krajewski or worked on the web;
Pinedo, Scheduling (ATC and LPT examples); Gilmore & Gomory 1964 as given by Pinedo (optimal cycle 57); a colour matrix
and an order-scheduling example of our own; every optimum there was brute-forced.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from benchmarks.plain_workshop import least_completion, least_lateness, least_makespan, tour, workshop
from planner.control import Unhurried
from planner.schedule.found import Found
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search

VECTORS: dict[str, Any] = json.loads((Path(__file__).parent / "scheduling_vectors.json").read_text())


def planned(inst: Instance, rounds: int = 10) -> Found:
    return search(inst, Budget(rounds, 1, 0.0), Unhurried())


@pytest.mark.parametrize("example", VECTORS["johnson"], ids=lambda e: e["name"])
def test_johnsons_rule_as_press_then_bench(example: dict[str, Any]) -> None:
    """Two machines in line: the press moulds, the bench assembles; the shortest makespan is Johnson's."""
    jobs = list(example["jobs"].values())
    inst = least_makespan(workshop([[a for a, _ in jobs]], assembly=[b for _, b in jobs]))
    found = planned(inst, rounds=2)
    assert found.objective == example["Cmax"]


def test_colour_matrix_from_a_clean_press() -> None:
    """The lightest colour first: 33, proven, in the order white, yellow, red, blue, black."""
    matrix = VECTORS["colour_matrix_own"]
    inst = workshop([[1] * 5], setups=[matrix["M"]], needs=[list(range(5))])
    found = planned(inst)
    assert (found.cost - 5, found.ended) == (matrix["open_best"], "proven")
    assert [matrix["cols"][j] for j in found.solution.lots()[0]] == matrix["open_seq"].split()


def test_colour_matrix_from_black() -> None:
    """What the press holds first counts: black to blue, white, yellow, red costs 59."""
    matrix = VECTORS["colour_matrix_own"]
    four = [row[:4] for row in matrix["M"][:4]]
    inst = workshop([[1] * 4], setups=[four], first=[matrix["M"][4][:4]], needs=[[0, 1, 2, 3]])
    found = planned(inst)
    assert (found.cost - 4, found.ended) == (matrix["from_black_best"], "proven")


def test_colour_matrix_as_a_cycle() -> None:
    """A wheel of colours that comes round again: 67."""
    inst, shots = tour(VECTORS["colour_matrix_own"]["M"])
    assert planned(inst).cost - shots == VECTORS["colour_matrix_own"]["cycle_best"]


def test_gilmore_gomory_cycle() -> None:
    """Seven jobs whose change costs |a - b|: the optimal cycle is 57."""
    data = VECTORS["gilmore_gomory_7"]
    # a job leaves the machine in state b; the next starts from state a
    costs = [[abs(b - a) for a in data["a"]] for b in data["b"]]
    inst, shots = tour(costs)
    found = planned(inst)
    assert (found.cost - shots, found.ended) == (data["opt_cycle"], "proven")


def test_weighted_tardiness_example() -> None:
    """Pinedo's five jobs: total weighted tardiness 210 at best (by due date alone: 435)."""
    data = VECTORS["atc_pinedo"]
    inst = least_lateness(workshop([data["p"]], due=data["d"], late=data["w"]))
    assert planned(inst).cost == data["optimal"]


def test_longest_first_example_is_beaten() -> None:
    """Nine jobs on four presses: longest first ends at 15, the best at 12."""
    data = VECTORS["lpt_pinedo_5_1"]
    inst = least_makespan(workshop([data["p"]] * data["m"]))
    assert planned(inst, rounds=20).objective == data["OPT"]


def test_customer_orders_over_two_presses() -> None:
    """Each order waits for a run on either press: sum of completions 45, weighted 69."""
    data = VECTORS["order_scheduling_own"]
    orders = list(data["orders_p1_p2"].values())
    seconds = [[p for p, _ in orders] + [-1] * 4, [-1] * 4 + [p for _, p in orders]]
    needs = [[j, j + 4] for j in range(4)]
    plain = least_completion(workshop(seconds, needs=needs))
    assert planned(plain, rounds=2).objective == pytest.approx(data["min_sumC"])
    weighted = least_completion(workshop(seconds, needs=needs, weights=list(data["w"].values())))
    assert planned(weighted, rounds=2).objective == pytest.approx(data["min_sumwC"])


def test_groovers_batch_time() -> None:
    """Set-up 240 min, 2700 parts 3 a cycle of 2 min, 4 min for trays each 9 cycles: 2440 min (Groover, Automation)."""
    inst = workshop([[1]], horizon=200_000)._replace(
        run_shots=np.array([900]), lot_shots=np.array([900]), mount_s=np.array([240 * 60]),
        shot_num=np.array([[(2 * 9 + 4) * 60]]), shot_den=np.array([[9]]), good_count_shots=np.array([900]),
        good_need=np.array([2700]), job_qty=np.array([2700]),
    )  # fmt: skip
    assert planned(inst, rounds=1).cost == 2440 * 60
