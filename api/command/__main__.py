"""The command: `shot-to-ship` where the package is installed, `./run` in a checkout."""

import argparse
import json
import logging
import os
import signal
import sys
import time
from pathlib import Path

import planner
from api.command.at_once import shown_at_once
from api.command.client import Client, Refusal
from api.command.table import called, rows
from api.command.watching import study_states, watch
from api.demo import DEMO
from api.serving.sockets import PortTaken
from api.serving.supervisor import AlreadyServed, NeverUp, Supervisor
from worker.queue.server import NoServer
from worker.settings import Settings


def demo(given: argparse.Namespace) -> int:
    """Serve, plan the demo campaign, print the plan."""
    logging.basicConfig(level=logging.WARNING, format="%(message)s")
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    os.umask(0o077)  # whatever is written here is nobody's business but its owner's
    begun = time.monotonic()
    sent: list[str] = []

    def send(url: str) -> None:  # while the planner is compiled: whoever opens the first page meanwhile sees it there
        sent.append(Client(url).submit(DEMO.read_bytes()))

    with shown_at_once(DEMO, begun) as first, Supervisor(Settings.from_environment(), answering=send) as supervisor:
        print(f"The service listens at {supervisor.url} (ready in {time.monotonic() - begun:.1f} s).", flush=True)
        client = Client(supervisor.url)
        ready = time.monotonic()
        (plan_id,) = sent
        first.wait()
        ending = watch(client, plan_id)
        taken = time.monotonic() - ready
        if ending == "done":
            _print_plan(client, plan_id)
        print(f"\nPlanned in {taken:.1f} s. The plan: {supervisor.url}/v1/plans/{plan_id}")
        if given.stay or sys.stdout.isatty():
            print("The service goes on listening; Ctrl-C ends it.", flush=True)
            while True:
                time.sleep(0.2)
                supervisor.tend()
        print(f"The service ends with this command; {called()} serve starts it again with the same plans.", flush=True)
    return 0 if ending == "done" else 1


def submit(given: argparse.Namespace) -> int:
    """Send a campaign and watch it."""
    client = Client.from_environment()
    document = sys.stdin.buffer.read() if given.file == "-" else Path(given.file).read_bytes()
    plan_id = client.submit(document)
    print(plan_id, flush=True)
    return 0 if given.leave or watch(client, plan_id) == "done" else 1


def watch_plan(given: argparse.Namespace) -> int:
    """Watch a plan until it ends."""
    return 0 if watch(Client.from_environment(), given.plan) == "done" else 1


def fetch(given: argparse.Namespace) -> int:
    """Print a plan."""
    client = Client.from_environment()
    if given.file:
        Path(given.file).write_bytes(client.file_of(given.plan, Path(given.file).name))
        print(given.file)
    elif given.csv:
        sys.stdout.write(client.list_of(given.plan, given.csv))
    elif given.json:
        print(json.dumps(client.plan(given.plan), indent=2))
    else:
        _print_plan(client, given.plan)
    return 0


def log(given: argparse.Namespace) -> int:
    """Write down what happened on the floor: a CSV file with a heading line, or JSON."""
    content = sys.stdin.buffer.read() if given.file == "-" else Path(given.file).read_bytes()
    media_type = "application/json" if content.lstrip()[:1] == b"{" else "text/csv"
    logged = Client.from_environment().log(given.plan, content, media_type)
    print(f"{logged} {'entry' if logged == 1 else 'entries'} written down")
    return 0


def again(given: argparse.Namespace) -> int:
    """Plan again from where the floor stands, and watch."""
    client = Client.from_environment()
    plan_id, granted = client.again(given.plan, given.as_of)
    print(plan_id, flush=True)
    print("\n".join(granted), end="\n" if granted else "")
    return 0 if given.leave or watch(client, plan_id) == "done" else 1


def slips(given: argparse.Namespace) -> int:
    """Say of every tool and piece, or of those named, whether a slip is a big problem or a small one."""
    client = Client.from_environment()
    told = 0
    for state in study_states(client, client.study(given.plan, "slip-table", {"only": given.only})):
        rows = [one["row"] for one in state["so_far"] if "row" in one]
        for row in rows[told:]:
            print(f"{row['name']}: {row['verdict']}. {row['words']}", flush=True)
        told = len(rows)
    return 0 if state["status"] == "done" else 1


def promise(given: argparse.Namespace) -> int:
    """Print the dates that hold, from a simulation of the plan."""
    client = Client.from_environment()
    *_, state = study_states(client, client.study(given.plan, "promise", {"confidence": given.confidence}))
    if state["status"] != "done":
        raise Refusal(f"the simulation ended: {state['ended_because']}")
    from api.command.readable import promised

    print("\n".join(promised(state["result"])))
    return 0


def _print_plan(client: Client, plan_id: str) -> None:
    # Here: what reads a plan is most of this program, and to wait for one needs none of it.
    from api.command.readable import readable
    from planner.plan import RunPlan

    answer = client.plan(plan_id)
    if answer["plan"] is None:
        raise Refusal(f"the plan is {answer['status']}; there is no run plan")
    print("\n" + readable(RunPlan.model_validate_json(json.dumps(answer["plan"]))))


def _plan(given: argparse.Namespace) -> int:
    from api.command import here

    return here.plan(given)


def _audit(given: argparse.Namespace) -> int:
    from api.command import here

    return here.audit(given)


def plan_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", help="a campaign document; - reads standard input")
    one.add_argument("--json", action="store_true", help="print the run plan document")
    one.add_argument("--out", metavar="FILE", help="write the run plan document to FILE as well")
    one.add_argument(
        "--cores", type=int, default=max(1, os.cpu_count() or 1), help="kept busy at most; none given: all there are"
    )
    one.set_defaults(do=_plan)


def audit_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("campaign", help="the campaign document; - reads standard input")
    one.add_argument("plan", help="the run plan document")
    one.set_defaults(do=_audit)


def demo_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("--stay", action="store_true", help="keep serving afterwards")
    one.set_defaults(do=demo)


def submit_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("file", help="a campaign document; - reads standard input")
    one.add_argument("--leave", action="store_true", help="print the plan's id and do not watch")
    one.set_defaults(do=submit)


def watch_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.set_defaults(do=watch_plan)


def fetch_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.add_argument("--csv", choices=["runs", "packs"], help="the run list or the pack list")
    one.add_argument("--json", action="store_true", help="everything the service knows of it")
    one.add_argument("--file", metavar="NAME", help="write paper.pdf, workbook.xlsx, calendar.ics or campaign to NAME")
    one.set_defaults(do=fetch)


def log_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.add_argument("file", help="CSV or JSON; - reads standard input")
    one.set_defaults(do=log)


def again_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.add_argument("as_of", help="wall-clock moment in the campaign's zone, e.g. 2027-01-18T06:00")
    one.add_argument("--leave", action="store_true", help="print the plan's id and do not watch")
    one.set_defaults(do=again)


def slips_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.add_argument("only", nargs="*", help="tools and pieces; none: all")
    one.set_defaults(do=slips)


def promise_options(one: argparse.ArgumentParser) -> None:
    one.add_argument("plan", help="the plan's id")
    one.add_argument("--confidence", type=float, default=0.8, help="how sure the day to announce shall be")
    one.set_defaults(do=promise)


OPTIONS = {
    "demo": demo_options,
    "plan": plan_options,
    "audit": audit_options,
    "submit": submit_options,
    "watch": watch_options,
    "fetch": fetch_options,
    "log": log_options,
    "again": again_options,
    "slips": slips_options,
    "promise": promise_options,
}
"""What each command of the table takes."""
PROCESSES = ("serve", "listen", "key", "backup", "restore", "kept", "worker")
"""Commands that are a process of the service: what they take is said where the process begins."""


def options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog=called(),
        description="Plans a moulding campaign from order counts to the last parcel.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog="A service elsewhere is found by SHOT_TO_SHIP_SERVICE and SHOT_TO_SHIP_KEY.",
    )
    parser.add_argument("--version", action="version", version=planner.__version__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for row in rows():
        one = commands.add_parser(row.name, help=row.says, description=row.says, add_help=row.name not in PROCESSES)
        if row.name in OPTIONS:
            OPTIONS[row.name](one)
    return parser


def main() -> int:
    if sys.argv[1:] and sys.argv[1] in PROCESSES:
        return _process(sys.argv[1])
    given = options().parse_args()
    try:
        return int(given.do(given))
    except KeyboardInterrupt:
        return 130
    except (Refusal, AlreadyServed, NeverUp, PortTaken, NoServer, TimeoutError, OSError, ValueError) as error:
        print(error, file=sys.stderr)
        return 1


def _process(name: str) -> int:
    """Hand on to a process of the service, which reads its own arguments. Fetched here: a client needs none of it."""
    if name == "worker":
        from planner.planning.make import make_plan
        from worker import start
        from worker.compiled_in_two import compiled_in_two

        sys.argv[:2] = [f"{called()} worker"]
        start.main(make_plan, compile_all=compiled_in_two)
    else:
        from api import __main__ as whole

        whole.main()
    return 0


if __name__ == "__main__":
    sys.exit(main())
