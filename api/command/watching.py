"""Shows a plan being made, on a terminal as one line that changes, elsewhere as a line now and then."""

import sys
import time
from typing import Any

from api.command.client import Client, problem_lines

_SECONDS_BETWEEN_LINES = 3.0
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


def _line(data: dict[str, Any]) -> str:
    share = data.get("share") or 0.0
    full = round(share * _BAR)
    words = [f"[{'#' * full}{'.' * (_BAR - full)}] {share:4.0%}", f"{data.get('phase') or '':<10}"]
    if data.get("cost") is not None:
        words.append(f"cost {data['cost']:,.2f}")
    if data.get("bound") is not None:
        words.append(f"at least {data['bound']:,.2f}")
    if data.get("gap") is not None:
        words.append(f"gap {data['gap']:.1%}")
    return "  ".join(words)
