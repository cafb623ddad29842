"""The auditor against a plan worked by hand."""

from planner.audit import audit
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan


def test_the_plan_worked_by_hand_holds() -> None:
    """Every rule holds and every rule looked at something, but for wishes: the campaign has none."""
    assert_plan_holds(pot_campaign(), pot_plan())
    assert [rule.rule for rule in audit(pot_campaign(), pot_plan()).rules if not rule.checked] == ["A14"]


def test_an_empty_plan_passes_no_rule_in_silence() -> None:
    """Where the campaign asks for work, a plan that shows none breaks every rule."""
    empty = {"runs": [], "balance": [], "materials": [], "pieces": [], "assembly": [], "batches": [], "dispatches": []}
    plan = pot_plan().model_copy(update=empty | {"tiers": [], "costs": []})
    assert broken_rules(pot_campaign(), plan) == {f"A{n}" for n in range(1, 13)}
