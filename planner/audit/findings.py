"""What a rule looked at and what it found, gathered into one verdict."""

from planner.plan.document import RuleVerdict

MOST = 40
"""Findings a verdict spells out; the rest are counted."""


class Findings:
    """The notes of one rule while it looks."""

    def __init__(self, rule: str) -> None:
        self.rule = rule
        self.checked = 0
        self.found: list[str] = []
        self.not_looked_at: list[str] = []

    def expect(self, holds: bool, otherwise: str) -> bool:
        """Look at one thing; `otherwise` says in the maker's words what is wrong if it does not hold."""
        self.checked += 1
        if not holds:
            self.found.append(otherwise)
        return holds

    def look(self) -> None:
        """Look at one thing in which nothing could be wrong by itself."""
        self.checked += 1

    def fault(self, text: str) -> None:
        """Something wrong, seen in passing."""
        self.expect(False, text)

    def left_out(self, text: str) -> None:
        """Say what the rule asks for and was not looked at, and why."""
        self.not_looked_at.append(text)

    def verdict(self, due: bool, about: str) -> RuleVerdict:
        """Close the notes. due: the campaign has something this rule must look at; about: what that is.

        A rule that looked at nothing where it was due does not hold.
        """
        if due and not self.checked:
            self.found.append(f"the campaign asks for {about}, the plan shows none to look at")
        told = self.found[:MOST]
        if len(self.found) > MOST:
            told.append(f"and {len(self.found) - MOST} more")
        return RuleVerdict(
            rule=self.rule, holds=not self.found, checked=self.checked, findings=told, left_out=self.not_looked_at
        )
