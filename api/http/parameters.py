"""Query parameters: one the address does not take is refused, so that a slip of the pen never goes unheard."""

from collections.abc import Iterator
from difflib import get_close_matches

from anyio import to_thread
from fastapi import Request
from fastapi.dependencies.models import Dependant

from api.service.refusals import Invalid
from planner.errors import Problem

LONGEST = 80
"""Characters of a name that are said back."""


async def known_parameters(request: Request) -> None:
    """A dependency of every address for programs. Raises Invalid, naming each parameter the address does not take."""
    if request.query_params:  # a plain function would cost every request a thread of its own, mostly for nothing
        await to_thread.run_sync(_check, request)


def _check(request: Request) -> None:
    taken = sorted(set(_taken(request.scope["route"].dependant)))
    problems = []
    for name in dict.fromkeys(request.query_params.keys()):
        if name in taken:
            continue
        near = get_close_matches(name, taken, 1)
        if near:
            remedy = f"did you mean `{near[0]}`?"
        elif taken:
            remedy = f"this address takes {', '.join(f'`{known}`' for known in taken)}"
        else:
            remedy = "this address takes no parameters; leave it out"
        problems.append(Problem(name[:LONGEST], "there is no parameter of this name", remedy))
    if problems:
        raise Invalid("Some parameters are not known here.", problems)


def _taken(dependant: Dependant) -> Iterator[str]:
    yield from (field.alias for field in dependant.query_params)
    for inner in dependant.dependencies:
        yield from _taken(inner)
