"""Where something must be built, a second process builds the half that is not needed at once; else there is none."""

import numpy as np
import pytest

from planner.schedule.jit import nb
from worker import compiled_in_two


class Beside:
    """Stands for the second process."""

    def __init__(self, happened):
        self.happened = happened
        happened.append("begun beside")

    def wait(self):
        self.happened.append("waited")


@pytest.fixture
def happened(monkeypatch):
    seen = []
    monkeypatch.setattr(compiled_in_two.subprocess, "Popen", lambda command, **_: Beside(seen))
    monkeypatch.setattr(compiled_in_two.os, "cpu_count", lambda: 2)
    return seen


def never_built_yet():
    nb.njit(lambda values: values[0] * 3)(np.ones(1))


def test_the_second_half_is_built_beside_the_first(happened, monkeypatch):
    monkeypatch.setattr(compiled_in_two, "warm_plans", never_built_yet)
    monkeypatch.setattr(compiled_in_two, "warm_proofs", lambda: happened.append("loaded"))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["told", "begun beside", "waited", "loaded"]


def test_what_is_there_is_read_by_one_process(happened, monkeypatch):
    monkeypatch.setattr(compiled_in_two, "warm_plans", lambda: happened.append("read"))
    monkeypatch.setattr(compiled_in_two, "warm_proofs", lambda: happened.append("read too"))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["read", "read too"]


def test_with_one_core_there_is_one_process(happened, monkeypatch):
    monkeypatch.setattr(compiled_in_two.os, "cpu_count", lambda: 1)
    monkeypatch.setattr(compiled_in_two, "warm_plans", never_built_yet)
    monkeypatch.setattr(compiled_in_two, "warm_proofs", lambda: happened.append("built"))
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["told", "built"]


def test_who_builds_the_second_half_alone_says_so(happened, monkeypatch):
    """Only a file of the second half changed."""
    monkeypatch.setattr(compiled_in_two, "warm_plans", lambda: None)
    monkeypatch.setattr(compiled_in_two, "warm_proofs", never_built_yet)
    compiled_in_two.compiled_in_two(lambda: happened.append("told"))
    assert happened == ["told"]
