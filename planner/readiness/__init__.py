"""When a tool makes good parts: the steps still to do, one after the other or beside each other, and who does them."""

from planner.readiness.network import Laid, Network, StepOf
from planner.readiness.tool_ready import later, ready_days, ready_of, step_words

__all__ = ["Laid", "Network", "StepOf", "later", "ready_days", "ready_of", "step_words"]
