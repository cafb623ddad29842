"""What is open and settled on a known day: how it may turn out, and the campaign once it has."""

from planner.settled.things import Thing, Turn, thing_of, things
from planner.settled.turned_out import turned_out

__all__ = ["Thing", "Turn", "thing_of", "things", "turned_out"]
