"""What people call a run: `bowl, oat, third run on press 7`. Its id stays in the document, for programs."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.plan.document import Run

_ID = re.compile(r"(?<![\w-])run-\d+(?![\w-])")
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


@dataclass(frozen=True)
class RunName:
    """What is moulded, and where: `number` counts its press's runs from 1."""

    tool: str
    colours: tuple[str, ...]
    number: int
    press: str

    @property
    def what(self) -> str:
        """`bowl, oat and kelp`."""
        return f"{self.tool}, {' and '.join(self.colours)}"

    @property
    def nth(self) -> str:
        """`third run`."""
        return f"{ordinal(self.number)} run"

    def __str__(self) -> str:
        """`bowl, oat, third run on press 7`."""
        return f"{self.what}, {self.nth} on {self.press}"


class RunNames(dict[str, RunName]):
    """A plan's runs by id."""

    def __init__(self, runs: Sequence[Run]) -> None:
        super().__init__()
        numbers: Counter[str] = Counter()
        called: set[str] = set()
        for run in sorted(runs, key=lambda one: (one.changeover or one).start):
            numbers[run.press] += 1
            colours = tuple(dict.fromkeys(melt.rpartition("/")[2] for melt in run.melts))
            self[run.id] = RunName(run.tool, colours, numbers[run.press], run.press)
            called |= {run.press, run.tool, *run.melts, *(part.part for part in run.parts)}
        self._sure = not any(_ID.search(name) for name in called)

    def all_of(self, runs: Sequence[str]) -> str:
        """Runs one after the other; one that is not among these by its id."""
        return "; ".join(str(self.get(run, run)) for run in runs)

    def with_names(
        self, text: str, whole: Callable[[RunName], str] = str, short: Callable[[RunName], str] = lambda name: name.nth
    ) -> str:
        """A sentence of the plan with the runs it mentions by id under their names.

        whole, short: how a run is called, with its press and without. Left alone where the maker calls a thing of
        theirs as we call runs.
        """
        if not self._sure:
            return text
        return _ID.sub(lambda found: self._called(found[0], text[: found.start()], whole, short), text)

    def _called(self, run: str, before: str, whole: Callable[[RunName], str], short: Callable[[RunName], str]) -> str:
        """The run's name; without its press where the sentence has just named that."""
        name = self.get(run)
        if name is None:
            return run
        named = before.rpartition("(")[0].endswith(f" {name.press} ") and ")" not in before.rpartition("(")[2]
        return short(name) if named else whole(name)


def ordinal(number: int) -> str:
    """`third`; from eleven on `11th`."""
    if 1 <= number <= len(ORDINALS):
        return ORDINALS[number - 1]
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number % 100 not in (11, 12, 13) else "th"
    return f"{number}{ending}"
