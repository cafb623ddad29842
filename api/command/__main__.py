"""python -m api.command demo | submit | watch | fetch"""

import argparse
import json
import logging
import signal
import sys
import time
from pathlib import Path

from api.command.client import Client, Refusal
from api.command.readable import readable
from api.command.watching import watch
from api.demo import DEMO
from api.serving.house import AlreadyServed, House
from planner.plan import RunPlan
from worker.queue.server import NoServer
from worker.settings import Settings


def demo(given: argparse.Namespace) -> int:
    """Serve, plan the demo campaign, print the plan."""
    logging.basicConfig(level=logging.WARNING, format="%(message)s")
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    begun = time.monotonic()
    with House(Settings.from_environment()) as house:
        print(f"The service listens at {house.url} (ready in {time.monotonic() - begun:.1f} s).", flush=True)
        client = Client(house.url)
        submitted = time.monotonic()
        plan_id = client.submit(DEMO.read_bytes())
        ending = watch(client, plan_id)
        taken = time.monotonic() - submitted
        if ending == "done":
            _print_plan(client, plan_id)
        print(f"\nPlanned in {taken:.1f} s. The plan: {house.url}/v1/plans/{plan_id}")
        if given.stay or sys.stdout.isatty():
            print("The service goes on listening; Ctrl-C ends it.", flush=True)
            while True:
                time.sleep(0.2)
                house.tend()
        print("The service ends with this command; ./run serve starts it again with the same plans.", flush=True)
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
    if given.csv:
        sys.stdout.write(client.list_of(given.plan, given.csv))
    elif given.json:
        print(json.dumps(client.plan(given.plan), indent=2))
    else:
        _print_plan(client, given.plan)
    return 0


def _print_plan(client: Client, plan_id: str) -> None:
    answer = client.plan(plan_id)
    if answer["plan"] is None:
        raise Refusal(f"the plan is {answer['status']}; there is no run plan")
    print("\n" + readable(RunPlan.model_validate_json(json.dumps(answer["plan"]))))


def options() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="./run", description="Shot to Ship")
    commands = parser.add_subparsers(required=True)
    one = commands.add_parser("demo", help=demo.__doc__)
    one.add_argument("--stay", action="store_true", help="keep serving afterwards")
    one.set_defaults(do=demo)
    one = commands.add_parser("submit", help=submit.__doc__)
    one.add_argument("file", help="a campaign document; - reads standard input")
    one.add_argument("--leave", action="store_true", help="print the plan's id and do not watch")
    one.set_defaults(do=submit)
    one = commands.add_parser("watch", help=watch_plan.__doc__)
    one.add_argument("plan", help="the plan's id")
    one.set_defaults(do=watch_plan)
    one = commands.add_parser("fetch", help=fetch.__doc__)
    one.add_argument("plan", help="the plan's id")
    one.add_argument("--csv", choices=["runs", "packs"], help="the run list or the pack list")
    one.add_argument("--json", action="store_true", help="everything the service knows of it")
    one.set_defaults(do=fetch)
    return parser


def main() -> int:
    given = options().parse_args()
    try:
        return int(given.do(given))
    except KeyboardInterrupt:
        return 130
    except (Refusal, AlreadyServed, NoServer, TimeoutError, OSError, ValueError) as error:
        print(error, file=sys.stderr)
        return 1


if __name__ == "__main__":
    sys.exit(main())
