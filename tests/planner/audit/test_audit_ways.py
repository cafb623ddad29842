"""Plans with wishes, inserts of one base and moulders' charges, spoilt: the auditor catches each (A2, A5, A12, A14)."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from tests.support.spoils.by_hand import Json, broken_by


def wish(number: int, **changes: Any) -> Callable[[Json], None]:
    return lambda plan: plan["wishes"][number - 1].update(changes)


def cost_line(what: str, add: float) -> Callable[[Json], None]:
    def spoil(plan: Json) -> None:
        next(line for line in plan["costs"] if line["what"] == what)["amount"] += add
        plan["outcome"]["total"] += add

    return spoil


@pytest.mark.parametrize(
    "spoil",
    [
        lambda plan: plan.update(wishes=[]),
        lambda plan: plan["wishes"].pop(),
        lambda plan: plan["wishes"].append(deepcopy(plan["wishes"][0])),
        wish(6, kept=True, because="", rule=""),
        wish(1, kept=False, because="it would cost too much", rule="Y1"),
        wish(6, because=""),
        wish(1, because="though it is kept"),
        wish(1, costs=-1.0),
        wish(1, costs=1e6),
        wish(6, costs=3.0),
        wish(1, costs_on_average=2.0),
        wish(1, kind="together"),
        wish(3, nothing_to_do=True),
    ],
)
def test_what_became_of_wishes_is_looked_at(spoil: Callable[[Json], None]) -> None:
    assert "A14" in broken_by("wishes", spoil)


@pytest.mark.parametrize(
    ("number", "other"),
    [
        (1, {"runs": {"tool": "pot"}, "press": "small"}),
        (3, {"runs": {"tool": "pot"}, "then": {"tool": "foot"}}),
        (4, {"first_colour": "cream", "press": "big"}),
        (5, {"runs": {"tool": "foot", "colours": ["cream"]}, "not_before": "2027-01-20"}),
        (6, {"runs": {"tool": "pot", "colours": ["cream"]}, "done_by": "2027-02-20"}),
        (7, {"together": [{"tool": "foot", "colours": ["cream"]}, {"tool": "pot", "colours": ["cream"]}]}),
    ],
)
def test_the_auditor_reads_wishes_itself(number: int, other: Json) -> None:
    """The same plan beside a campaign that wishes otherwise: what is said to be kept is not, and what is not is."""

    def asked(campaign: Json) -> None:
        campaign["wishes"][number - 1] = other

    assert "A14" in broken_by("wishes", None, asked)


def test_work_on_a_press_that_is_kept_free_is_outside_its_hours() -> None:
    def asked(campaign: Json) -> None:
        campaign["wishes"][1] = {"press": "big", "free_from": "2027-01-01", "free_until": "2027-03-01"}

    assert broken_by("wishes", None, asked) >= {"A4", "A14"}


def test_inserts_of_one_base() -> None:
    """Said to mount in the insert's time what is no insert, another time, and both inserts in presses at once."""
    assert broken_by("base-with-inserts", None) == set()

    def alone(campaign: Json) -> None:
        for tool in campaign["tools"].values():
            tool.update(base=None, insert_minutes=None)

    assert "A5" in broken_by("base-with-inserts", None, alone)

    def slower(campaign: Json) -> None:
        campaign["tools"]["foot"]["insert_minutes"] = 9

    assert "A5" in broken_by("base-with-inserts", None, slower)

    def at_once(plan: Json) -> None:
        first, later = plan["runs"][0], next(run for run in plan["runs"] if run["tool"] != plan["runs"][0]["tool"])
        later.update(press="small", **{name: first[name] for name in ("start", "end", "stretches", "changeover")})

    assert "A2" in broken_by("base-with-inserts", at_once)


@pytest.mark.parametrize(
    "what", ["energy", "changeover charges", "shift charges", "piece prices", "least a run", "press hours"]
)
def test_every_line_of_the_price_list_is_added_up_anew(what: str) -> None:
    assert "A12" in broken_by("price-list", cost_line(what, 1.0))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("changeover", 61),
        ("colour_change", 26),
        ("shift", 41),
        ("shift_hours", 1),
        ("least_a_run", 900),
        ("a_piece", {}),
    ],
)
def test_every_price_counts(field: str, value: Any) -> None:
    def asked(campaign: Json) -> None:
        campaign["presses"]["big"]["charges"][field] = value

    assert "A12" in broken_by("price-list", None, asked)


def test_charges_are_paid_in_the_week_of_the_last_run() -> None:
    def spoil(plan: Json) -> None:
        next(line for line in plan["cash"] if line["of"].startswith("charges of"))["amount"] += 1

    assert "A12" in broken_by("price-list", spoil)
