"""Semantic assertions that any test may use."""

from planner.audit import audit
from planner.campaign import Campaign
from planner.plan.document import RunPlan
from planner.planning.verdict import left_out


def assert_plan_holds(campaign: Campaign, plan: RunPlan) -> None:
    """Fail with every finding, in the auditor's words, unless the plan keeps A1 to A14 and explains itself rightly."""
    verdict = audit(campaign, plan)
    findings = [f"{rule.rule}: {finding}" for rule in verdict.rules for finding in rule.findings]
    assert verdict.holds, "\n".join(findings)
    assert not findings
    assert left_out(plan) is None, left_out(plan)
    assert [rule.rule for rule in verdict.rules] == [f"A{n}" for n in range(1, 15)]


def assert_passed(plan: RunPlan) -> None:
    """A plan as `make_plan` gave it, which has audited it: as `assert_plan_holds`, without auditing it once more."""
    assert plan.audit is not None
    assert plan.audit.holds
    assert left_out(plan) is None, left_out(plan)
    assert [rule.rule for rule in plan.audit.rules] == [f"A{n}" for n in range(1, 15)]


def broken_rules(campaign: Campaign, plan: RunPlan) -> set[str]:
    """The rules the plan breaks."""
    return {rule.rule for rule in audit(campaign, plan).rules if not rule.holds}
