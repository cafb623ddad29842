"""A part of a planning job's time, as a control of its own, and how much a campaign of a size can be simulated."""

from planner.control import Control, Progress
from planner.schedule.instance import Instance

SCREENED = 48
"""Scenarios by which moves are judged."""

CHOSEN_BY = 256
"""Scenarios by which one of the plans found is chosen; none of them was used to find them."""

MOST_REPORTED, LEAST_REPORTED = 1000, 200
"""Scenarios on which the chosen plan is reported; none of them was used to choose it."""

LOAD_REPORTED = 4_000_000
"""Lots, jobs, batches and needs looked at for the report: some tenths of a second."""

DEARER = 0.009
"""How much more than the certain world's plan a plan may cost if all goes well: with as long a search for that alone it
would be a little cheaper, and a hundredth is the most that a maker is to pay."""


def most_planned(certain: float) -> float:
    """The most that a plan may cost if all goes well, beside what the certain world's plan costs."""
    return certain + DEARER * abs(certain)


def load_of(inst: Instance) -> int:
    """Lots, jobs, batches and needs that one timing looks at."""
    return int(4 * inst.lot_run.size + inst.batch_work.size + inst.job_work.size + inst.job_good.size)


def reported(inst: Instance) -> int:
    """How many scenarios the chosen plan is reported on."""
    return max(LEAST_REPORTED, min(MOST_REPORTED, LOAD_REPORTED // load_of(inst)))


class Keeping:
    """The control of somebody who must leave so many seconds to others. alone: on one core only."""

    def __init__(self, control: Control, kept: float, alone: bool = False, quiet: bool = False) -> None:
        self._control, self._kept, self._alone, self._quiet = control, kept, alone, quiet

    def should_stop(self) -> bool:
        return self._control.should_stop()

    def seconds_left(self) -> float | None:
        left = self._control.seconds_left()
        return None if left is None else max(0.0, left - self._kept)

    def cores(self) -> int:
        return 1 if self._alone else self._control.cores()

    def report(self, progress: Progress) -> None:
        if not self._quiet:
            self._control.report(progress)


FIRST_SHARE = 0.45
"""Of a budget of time, what the plan of a certain world is sought in."""

BOUND_SHARE, LARGE_BOUND_SHARE, LARGE = 0.08, 0.3, 4_000
"""Of it, what is left for choosing and for bounds on average; more where a bound takes long: from this load on."""


def kept_for_bounds(inst: Instance, total: float) -> float:
    """Seconds of `total` left for choosing and for bounds."""
    return (LARGE_BOUND_SHARE if load_of(inst) >= LARGE else BOUND_SHARE) * total


def first_part(control: Control) -> Control:
    """The control of the search for the certain world's plan."""
    total = control.seconds_left()
    return control if total is None else Keeping(control, (1.0 - FIRST_SHARE) * total)
