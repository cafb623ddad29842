"""The auditor against a plan worked by hand."""

from planner.audit import audit
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan


def test_the_plan_worked_by_hand_holds() -> None:
    """Every rule holds and every rule looked at something."""
    assert_plan_holds(pot_campaign(), pot_plan())
    assert all(rule.checked for rule in audit(pot_campaign(), pot_plan()).rules)


def test_an_empty_plan_passes_no_rule_in_silence() -> None:
    """Where the campaign asks for work, a plan that shows none breaks every rule."""
    empty = {"runs": [], "balance": [], "materials": [], "pieces": [], "assembly": [], "batches": [], "dispatches": []}
    plan = pot_plan().model_copy(update=empty | {"tiers": [], "costs": []})
    assert broken_rules(pot_campaign(), plan) == {f"A{n}" for n in range(1, 13)}


def test_a_second_opinion_on_purge_is_asked() -> None:
    """An estimate is compared with the function handed in; a given figure is not."""
    asked: list[tuple[str, int, str, str]] = []

    def opinion(kg: float):  # type: ignore[no-untyped-def]
        def purge_kg(press: str, barrel: int, held: str, comes: str) -> float:
            asked.append((press, barrel, held, comes))
            return kg

        return purge_kg

    assert_plan_holds(pot_campaign(), pot_plan(), opinion(2.4))
    assert asked == [("two", 1, "pp/sage", "pp/white")]
    assert broken_rules(pot_campaign(), pot_plan(), opinion(2.6)) == {"A5"}
