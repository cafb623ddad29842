"""A linear programme gathered row by row, solved by HiGHS through OR-Tools, its value made safe to call a bound.

Why HiGHS: the programme of 500 runs took it 5 s, GLOP's dual simplex 32 s, its primal 196 s (busy machine, one core).
"""

from collections.abc import Iterable
from typing import Any

from ortools.linear_solver.python import model_builder

INFINITY = float("inf")
SAFE = 1e-6
"""Share of the value taken off: far more than the solver's own tolerance of 1e-7 on rows and costs."""

Term = tuple[int, float]


class Interrupted(Exception):
    """Asked to stop while the programme was gathered."""


class Rows:
    """Minimise constant + cost x over rows; variables are numbered as they are made, at least 0."""

    def __init__(self) -> None:
        self.constant = 0.0
        modelling: Any = model_builder.Model  # its stubs know no types
        self._model = modelling()
        self._helper = self._model.helper
        self._solver = model_builder.Solver("HIGHS_LP")
        self._solver.set_solver_specific_parameters("output_flag=false")
        self._stopped = False
        self.size = 0

    def variable(self, cost: float = 0.0, most: float = INFINITY) -> int:
        """A further variable from 0 to `most`."""
        number: int = self._helper.add_var()
        self._helper.set_var_lower_bound(number, 0.0)
        self._helper.set_var_upper_bound(number, most)
        self._helper.set_var_objective_coefficient(number, cost)
        self.size += 1
        return number

    def at_least(self, least: float, terms: Iterable[Term]) -> None:
        """sum of coefficient x variable >= least."""
        self._row(terms, least, INFINITY)

    def at_most(self, most: float, terms: Iterable[Term]) -> None:
        """sum of coefficient x variable <= most."""
        self._row(terms, -INFINITY, most)

    def equal(self, value: float, terms: Iterable[Term]) -> None:
        """sum of coefficient x variable = value."""
        self._row(terms, value, value)

    def _row(self, terms: Iterable[Term], least: float, most: float) -> None:
        if self._stopped:
            raise Interrupted
        row = self._helper.add_linear_constraint()
        self._helper.set_constraint_lower_bound(row, least)
        self._helper.set_constraint_upper_bound(row, most)
        for variable, coefficient in terms:
            self._helper.safe_add_term_to_constraint(row, variable, coefficient)

    def least(self, seconds: float) -> float | None:
        """The value no feasible point undercuts; None if it is not known within so many seconds or was stopped."""
        if self._stopped:
            return None
        self._solver.set_time_limit_in_seconds(seconds)
        status = self._solver.solve(self._model)
        if status != model_builder.SolveStatus.OPTIMAL:
            return None
        value = float(self._solver.objective_value)
        return self.constant + value - SAFE * (abs(self.constant) + abs(value))

    def stop(self) -> None:
        """Gather no further row, and solve nothing more; a solve under way goes on to its time limit."""
        self._stopped = True
