"""Planning and auditing in this process, without a service: for a shell, a script, a look before there is a service."""

import argparse
import json
import signal
import sys
import threading
import time
from pathlib import Path
from types import FrameType

from pydantic import ValidationError

import planner
from api.command.readable import readable
from api.languages import wording
from planner.campaign import Campaign
from planner.control import Progress
from planner.errors import AuditFailed, CampaignProblems, Infeasible, PlannerError
from planner.plan import RunPlan
from planner.reading import problems_in
from planner.wording import number, plain


def plan(given: argparse.Namespace) -> int:
    """Plan the campaign and print the plan. Ctrl-C ends the search and keeps the best plan so far."""
    try:
        campaign = planner.read(_document(given.file))
        made = _solved(campaign, given.cores)
    except PlannerError as refused:
        print("\n".join(_told(refused)), file=sys.stderr)
        return 1
    written = made.model_dump_json(by_alias=True, indent=2)
    if given.out:
        Path(given.out).write_text(written + "\n", encoding="utf-8")
    print(written if given.json else readable(made))
    return 0


def audit(given: argparse.Namespace) -> int:
    """Check the plan and print each rule with what breaks it; ends with 1 where one is broken."""
    try:
        campaign = planner.read(_document(given.campaign))
    except CampaignProblems as refused:
        print("\n".join(_told(refused)), file=sys.stderr)
        return 1
    try:
        plan = RunPlan.model_validate(_document(given.plan))
    except ValidationError as error:
        first = problems_in(error, _document(given.plan))[0]
        raise ValueError(f"{given.plan} is no run plan: {first.pointer}: {first.message}") from None
    verdict = planner.audit_plan(campaign, plan)
    for rule in verdict.rules:
        said = "holds" if rule.holds else "IS BROKEN"
        print(f"{rule.rule} {said}; {wording.counted(rule.checked, 'thing')} looked at")
        for finding in rule.findings:
            print(f"       {finding}")
    return 0 if verdict.holds else 1


def _solved(campaign: Campaign, cores: int) -> RunPlan:
    """Planned, with a line of progress where somebody looks on."""
    stop = threading.Event()

    def interrupted(_signal: int, _frame: FrameType | None) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    def report(progress: Progress) -> None:
        if sys.stderr.isatty():
            cost = "" if progress.cost is None else f", best {plain(number(progress.cost, 2))}"
            print(f"\r{progress.phase} {progress.share:.0%}{cost}\x1b[K", end="", file=sys.stderr, flush=True)

    if sys.stderr.isatty():
        print("compiling, the first time for a minute or two ...", end="", file=sys.stderr, flush=True)
    before = signal.signal(signal.SIGINT, interrupted)
    try:
        return planner.solve(campaign, clock=time.monotonic, stop=stop.is_set, report=report, cores=cores)
    finally:
        signal.signal(signal.SIGINT, before)
        if sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _document(name: str) -> object:
    """The JSON document in a file, or from standard input for `-`."""
    content = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    try:
        document: object = json.loads(content.removeprefix(b"\xef\xbb\xbf"))
    except ValueError as error:
        raise ValueError(f"{name} is not JSON: {error}") from None
    return document


def _told(refused: PlannerError) -> list[str]:
    """Each problem with its field and remedy, on a line of its own."""
    if not isinstance(refused, CampaignProblems | Infeasible | AuditFailed):
        return [str(refused)]
    problems = refused.broken if isinstance(refused, AuditFailed) else refused.problems
    return [
        f"{problem.pointer or 'campaign'}: {problem.message}" + (f"; {problem.remedy}" if problem.remedy else "")
        for problem in problems
    ]
