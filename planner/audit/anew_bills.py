"""What a moulder charges in a scenario beside the hour (A13): section M6 read anew, run by run as they are worked."""

from planner.audit.charges import CHANGEOVER_LINES, ChangeoverDone, changeover_money, pieces_of_a_shot
from planner.audit.figures import seconds_of
from planner.campaign.presses import Press
from planner.campaign.tools import Tool

LINES = (*CHANGEOVER_LINES, "shift charges", "piece prices", "least a run")
"""Cost lines that are worked out here."""


class Bill:
    """The bill of one press: money so far, and what the run under way comes to."""

    def __init__(self, press: Press) -> None:
        self.asked, self.press, self.money = press.charges, press, 0.0
        self._run = 0.0
        self._paid: set[tuple[int, int]] = set()

    def changed(self, done: ChangeoverDone, hours: float) -> None:
        """A changeover that costs so much by the hour; what was before it is billed."""
        self.close()
        if self.asked is not None:
            charge = changeover_money(self.asked, done)
            self.money += charge
            self._run += charge + hours

    def worked(self, opens: int, begin: int, end: int, hours: float) -> None:
        """Work in a stretch that opens then; it costs so much by the hour."""
        self.in_shifts(opens, begin, end)
        self._run += hours

    def in_shifts(self, opens: int, begin: int, end: int) -> None:
        """Each shift of the stretch in which anything is worked, once."""
        if self.asked is None or end <= begin:
            return
        length = seconds_of(self.asked.shift_hours * 60)
        if length <= 0:
            return
        for shift in range((begin - opens) // length, (end - 1 - opens) // length + 1):
            if (opens, shift) not in self._paid:
                self._paid.add((opens, shift))
                self.money += self.asked.shift

    def moulded(self, tool: Tool, shots: int) -> None:
        """So many shots by the piece."""
        money = shots * pieces_of_a_shot(tool, self.press)
        self.money += money
        self._run += money

    def close(self) -> None:
        """A run that comes to less than the least is billed that."""
        if self.asked is not None and 0.0 < self._run < self.asked.least_a_run:
            self.money += self.asked.least_a_run - self._run
        self._run = 0.0
