"""A search beside the one that is asked for: a look at what a plan would cost otherwise."""

from planner.control import Control, Unhurried


class Quiet(Unhurried):
    """Without a deadline, since rounds end it, and without a word; still hears a stop."""

    def __init__(self, control: Control) -> None:
        super().__init__()
        self._control = control

    def should_stop(self) -> bool:
        return bool(self._control.should_stop())
