"""What a worker compiles before its first plan is all that planning then calls, in the very types it calls it with."""

import json
import subprocess
import sys
from pathlib import Path

CASES = Path(__file__).parents[1] / "plan" / "cases"

SCRIPT = """
import importlib, json, pkgutil, sys
from pathlib import Path
from benchmarks.generator import small
from numba.core.registry import CPUDispatcher
import planner.schedule
from planner.reading import read
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.schedule.warm import warm

found = {}
for module in pkgutil.walk_packages(planner.schedule.__path__, "planner.schedule."):
    for name, value in vars(importlib.import_module(module.name)).items():
        if isinstance(value, CPUDispatcher) and value._cache.cache_path is not None:
            found[value.py_func.__module__ + "." + value.py_func.__name__] = value
warm()
before = {name: list(map(str, value.signatures)) for name, value in found.items()}
campaigns = [small(seed) for seed in (3, 5, 8)]
for name in sys.argv[1:]:
    document = json.loads(Path(name).read_text())
    campaigns.append(read(document))
for campaign in campaigns:
    quick = campaign.planning.model_copy(update={"rounds": 4})
    make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
after = {name: list(map(str, value.signatures)) for name, value in found.items()}
print(json.dumps([before, after]))
"""


def test_planning_compiles_nothing_after_the_warm_up() -> None:
    """In a process of its own; among the campaigns some that are proven, all in stock, one press alone, the soonest."""
    names = ["crash_all_from_stock", "red_crash_624", "wrong_bound_lots", "false_infeasible_9407", "red_auditfailed_59"]
    ran = subprocess.run(
        [sys.executable, "-c", SCRIPT, *(str(CASES / f"{name}.json") for name in names)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    before, after = json.loads(ran.stdout.splitlines()[-1])
    assert len(before) >= 5
    assert all(len(signatures) == 1 for signatures in before.values()), before
    assert after == before
