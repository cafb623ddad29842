"""Runs by the names that people read, in their language; the planner's sentences mention them by id."""

from api.languages import gettext
from api.languages.reading import now_reading
from api.languages.sentences import said
from planner.plan.run_names import RunName, RunNames


def nth_run(name: RunName) -> str:
    """`third run`."""
    return name.nth if now_reading().language == "en" else gettext("run no. %(n)s") % {"n": name.number}


def what_run(name: RunName) -> str:
    """`bowl, oat and kelp`."""
    both = gettext("and")
    return f"{name.tool}, {f' {both} '.join(name.colours)}"


def named_run(name: RunName) -> str:
    """`bowl, oat, third run on press 7`."""
    return gettext("%(what)s, %(nth)s on %(press)s") % {
        "what": what_run(name),
        "nth": nth_run(name),
        "press": name.press,
    }


def named_runs(called: RunNames, runs: list[str]) -> str:
    """Runs one after the other; one that is not among these by its id."""
    return "; ".join(named_run(called[run]) if run in called else run for run in runs)


def said_of(text: str, called: RunNames) -> str:
    """A sentence of the plan, with the runs it mentions under their names."""
    return called.with_names(said(text), named_run, nth_run)
