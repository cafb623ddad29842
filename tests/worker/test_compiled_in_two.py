"""Where something must be built, processes beside the worker build it, and the worker reads it; else there are none."""

import numpy as np
import pytest

from planner.schedule.jit import nb
from worker import compiled_in_two


@pytest.fixture
def happened(monkeypatch):
    """What is done, in order. `built`: how many parts of the work are there to be read."""
    seen = []

    class Beside:
        def __init__(self, command, **_more):
            self.part = command[-1]
            seen.append(f"begun {self.part}")

        def wait(self):
            seen.append(f"waited for {self.part}")

    monkeypatch.setattr(compiled_in_two.subprocess, "Popen", Beside)
    monkeypatch.setattr(compiled_in_two.os, "cpu_count", lambda: 2)
    return seen


def builds(happened):
    def build():
        nb.njit(lambda values: values[0] * 3)(np.ones(1))  # never seen before, so it is built
        happened.append("built here")

    return build


def test_two_halves_are_built_beside_each_other_and_then_read(happened, monkeypatch):
    """What they leave, as this one is never kept, is built here in the end."""
    monkeypatch.setattr(compiled_in_two, "warm", builds(happened))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == [
        "told", "begun plans", "begun proofs", "waited for plans", "waited for proofs", "built here",
    ]  # fmt: skip


def test_what_is_there_is_read_by_one_process(happened, monkeypatch):
    monkeypatch.setattr(compiled_in_two, "warm", lambda: happened.append("read"))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["read"]


def test_with_one_core_there_is_one_process_beside(happened, monkeypatch):
    monkeypatch.setattr(compiled_in_two.os, "cpu_count", lambda: 1)
    monkeypatch.setattr(compiled_in_two, "warm", builds(happened))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["told", "begun all", "waited for all", "built here"]


def test_the_two_halves_are_all_of_it(monkeypatch):
    """What `warm` calls, so that nothing is left to be built by the worker."""
    from planner.schedule import warm as module

    called = []
    for name in ("warm_plans", "warm_proofs"):
        monkeypatch.setattr(module, name, lambda name=name: called.append(name))
    module.warm()
    assert called == [half.__name__ for half in compiled_in_two.HALVES.values()]
