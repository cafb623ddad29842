"""Somebody asks."""

from planner.control import Control
from planner.schedule.stop.standing import Ended, Standing


class Asked:
    """Ends once the control is asked to stop."""

    def __init__(self, control: Control) -> None:
        self.control = control

    def __call__(self, standing: Standing) -> Ended | None:
        return "stopped" if self.control.should_stop() else None
