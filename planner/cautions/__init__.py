"""The usual cautions where work can hurt someone: data with sources, and the rules that say where each applies."""

from planner.cautions.rules import cautions_for

__all__ = ["cautions_for"]
