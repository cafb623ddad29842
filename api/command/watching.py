"""Shows a plan being made, on a terminal as one line that changes, elsewhere as a line now and then."""

import sys
import time
from collections.abc import Iterator
from typing import Any

from api.command.client import Client, problem_lines
from planner.wording import number, plain

_SECONDS_BETWEEN_LINES = 3.0
_SECONDS_BETWEEN_LOOKS = 0.5
_BAR = 24


def watch(client: Client, plan_id: str) -> str:
    """Show progress until the end; gives how it ended: done, failed or cancelled."""
    live = sys.stdout.isatty()
    told = 0.0
    for kind, data in client.events(plan_id):
        if kind == "progress":
            if live:
                print(f"\r{_line(data)}\x1b[K", end="", flush=True)
            elif time.monotonic() - told > _SECONDS_BETWEEN_LINES:
                told = time.monotonic()
                print(_line(data), flush=True)
            continue
        print(f"{chr(13)}\x1b[K{kind}" if live else kind, flush=True)
        if kind == "failed":
            print("\n".join(problem_lines(data["problems"])))
        if kind in {"done", "failed", "cancelled"}:
            return kind
    return str(client.plan(plan_id)["status"])


def study_states(client: Client, study_id: str) -> Iterator[dict[str, Any]]:
    """Where a study stands, again and again until it is over; how far it is shows on a terminal."""
    while True:
        state = client.study_state(study_id)
        over = state["status"] not in {"queued", "running"}
        if sys.stdout.isatty():
            told = "" if over else f"{state['parts_done']} of {state['parts']}"
            print(f"\r{told}\x1b[K", end="", flush=True)
        yield state
        if over:
            return
        time.sleep(_SECONDS_BETWEEN_LOOKS)


def _line(data: dict[str, Any]) -> str:
    share = data.get("share") or 0.0
    full = round(share * _BAR)
    words = [f"[{'#' * full}{'.' * (_BAR - full)}] {share:4.0%}", f"{data.get('phase') or '':<10}"]
    if data.get("cost") is not None:
        words.append(f"cost {plain(number(data['cost'], 2))}")
    if data.get("bound") is not None:
        words.append(f"at least {plain(number(data['bound'], 2))}")
    if data.get("gap") is not None:
        words.append(f"gap {data['gap']:.1%}")
    return "  ".join(words)
