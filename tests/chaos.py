"""Clients submit while everything is killed at random; then the records are held against what was promised.

Both kinds of job are judged: plans, and the studies that ask how sure each plan is as soon as it is made.
"""

import contextlib
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import httpx2
import redis
from sqlalchemy import Connection, Select, create_engine, select, text
from sqlalchemy.exc import DBAPIError

from tests.live_service import LiveService
from worker.records.database import Database
from worker.records.tables import Event, Plan, Revision, Study, StudyEvent, StudyPart

_ENDS = {"done", "failed", "cancelled"}


@dataclass
class Report:
    """promised: plans answered with 202. fallen: processes that ended and nobody had killed. deaf: workers asked to end
    that had not within a minute. left: where each plan that did not end stands, and the deaf ones' last words. studies:
    one of each plan, worked out to its end. The rest should be 0, save kills, retries and seconds."""

    promised: int = 0
    studies: int = 0
    lost: int = 0
    twice: int = 0
    unfinished: int = 0
    failed: int = 0
    gaps: int = 0
    unaudited: int = 0
    fallen: int = 0
    deaf: int = 0
    retries: int = 0
    seconds: float = 0.0
    kills: Counter[str] = field(default_factory=Counter)
    left: list[str] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        harmed = (self.lost, self.twice, self.unfinished, self.failed, self.gaps, self.unaudited)
        return not any((*harmed, self.fallen, self.deaf))


def run_chaos(
    live: LiveService, plans: int, clients: int, kills: int, seed: int, campaign: Callable[[int], dict[str, object]]
) -> Report:
    """Submit `plans` campaigns from `clients` threads while `kills` processes or connections are killed."""
    report = Report()
    promised: dict[str, str] = {}
    lock = threading.Lock()
    begun = time.monotonic()
    todo = list(range(plans))
    over = threading.Event()

    def submit() -> None:
        while True:
            with lock:
                if not todo:
                    return
                number = todo.pop()
            key = f"order-{number}"
            while not over.is_set():
                with contextlib.suppress(httpx2.HTTPError):
                    answer = live.post("/v1/plans", campaign(number), Idempotency_Key=key)
                    if answer.status_code == 202:
                        with lock:
                            promised[key] = answer.json()["id"]
                        break
                with lock:
                    report.retries += 1
                time.sleep(0.2)

    threads = [threading.Thread(target=submit, daemon=True) for _ in range(clients)]
    for thread in threads:
        thread.start()
    try:
        _kill(live, kills, random.Random(seed), report)
        for thread in threads:
            thread.join(120)
    finally:
        over.set()
    database = Database(live.settings.database)
    with contextlib.suppress(AssertionError):
        live.wait(lambda: _unfinished(database) == 0, 240)
    report.left += _standing(database, live)
    report.fallen += sum(process.poll() is not None for process in live.processes.values())
    report.promised = len(promised)
    report.seconds = time.monotonic() - begun
    _judge(database, live, promised, plans, report)
    database.close()
    return report


def _kill(live: LiveService, kills: int, rng: random.Random, report: Report) -> None:
    database: dict[str, Callable[[], object]] = (
        {
            "connections": lambda: _cut_connections(live.settings.database_url),
            "database": lambda: _crash_database(live.settings.database_url),
        }
        if live.settings.database_url
        else {"writer": lambda: _die_writing(live.settings.data / "records.sqlite", rng.uniform(0.2, 2.0))}
    )
    if live.small_disk:
        database["disk"] = lambda: _fill(live.settings.data, rng.uniform(0.5, 3.0))
    # A worker may also be asked to end, as at an upgrade, and come back with a clock that somebody has moved.
    polite = ["polite", "moved clock"]
    victims = ["api", "broker", "worker1", "worker2", *polite, *database]
    starts: dict[str, Callable[[], object]] = {
        "api": live.start_api,
        "broker": live.start_broker,
        "worker1": live.start_worker,
        "worker2": lambda: live.start_worker("worker2", "small"),
    }
    for _ in range(kills):
        time.sleep(rng.uniform(0.1, 1.2))
        victim = rng.choice(victims)
        report.kills[victim] += 1
        for name in [name for name, process in live.processes.items() if process.poll() is not None]:
            report.fallen += 1
            live.kill(name)
            starts[name]()
        if victim in database:
            database[victim]()
            continue
        if victim in polite:
            worker = rng.choice(["worker1", "worker2"])
            _ask_to_end(live, worker, report)
            live.clock_off = rng.choice([-3600.0, 3600.0]) if victim == "moved clock" else 0.0
            starts[worker]()
            live.clock_off = 0.0
            continue
        live.kill(victim)
        time.sleep(rng.uniform(0.0, 0.8))
        starts[victim]()


def _ask_to_end(live: LiveService, worker: str, report: Report) -> None:
    process = live.processes[worker]
    try:
        live.kill(worker, signal.SIGTERM)
    except subprocess.TimeoutExpired:
        report.deaf += 1
        report.left.append(f"{worker}: {(live.settings.data / f'{worker}.log').read_text()[-1500:]}")
        process.kill()
        process.wait()


def _fill(folder: Path, seconds: float) -> None:
    """The disk is full for that long."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as out, contextlib.suppress(OSError):
        while True:
            out.write(bytes(2**20))
    time.sleep(seconds)
    filler.unlink()


def _die_writing(path: Path, seconds: float) -> None:
    """On SQLite, which has no connections to cut: a stranger takes the lock, writes, is killed before its commit."""
    doing = "UPDATE workshops SET name = 'nobody'"
    program = (
        f"import sqlite3, time; c = sqlite3.connect({str(path)!r}, timeout=30, isolation_level=None);"
        f'c.execute("BEGIN IMMEDIATE"); c.execute("{doing}"); print("in", flush=True); time.sleep(60)'
    )
    stranger = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE)
    assert stranger.stdout is not None
    stranger.stdout.readline()
    time.sleep(seconds)
    stranger.kill()
    stranger.wait()
    stranger.stdout.close()


def _crash_database(url: str) -> None:
    """kill -9 of one of PostgreSQL's processes: it ends all others, starts again and recovers from its log."""
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with contextlib.suppress(DBAPIError), engine.connect() as connection:
        pid = connection.execute(text("SELECT pg_backend_pid()")).scalar_one()
        os.kill(pid, signal.SIGKILL)
        connection.execute(text("SELECT 1"))
    engine.dispose()


def _cut_connections(url: str) -> None:
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    # Perhaps it is still recovering from the last time.
    with contextlib.suppress(DBAPIError), engine.connect() as connection:
        connection.execute(
            text(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
        )
    engine.dispose()


def _unfinished(database: Database) -> int:
    with database.read() as connection:
        return sum(len(connection.execute(select(t.id).where(t.status.not_in(_ENDS))).all()) for t in (Plan, Study))


def _standing(database: Database, live: LiveService) -> list[str]:
    """Each plan that did not end: its row, the end of its story, and what the queue's server holds."""
    left = []
    with database.read() as connection:
        now = database.lease_clock.now(connection)
        for plan in connection.execute(select(Plan).where(Plan.status.not_in(_ENDS))):
            row = {name: getattr(plan, name) for name in ("status", "queue", "attempt", "losses", "worker", "phase")}
            row |= {
                f"{name} ago": round(now - at, 1)
                for name in ("sent_at", "lease_until", "created_at")
                if (at := getattr(plan, name)) is not None
            }
            story = select(Event.kind).where(Event.plan_id == plan.id).order_by(Event.number.desc()).limit(5)
            left.append(f"{plan.id} {row} {list(connection.execute(story).scalars())}")
    if left:
        with redis.Redis.from_url(live.settings.redis_url) as server, contextlib.suppress(redis.RedisError):
            waiting = {name: server.llen(name) for name in ("small", "large")}
            left.append(f"queues {waiting} unacknowledged {server.hlen('unacked')}")
        left.append(f"processes { ({name: process.poll() for name, process in live.processes.items()}) }")
    return left


def _judge(database: Database, live: LiveService, promised: dict[str, str], plans: int, report: Report) -> None:
    with database.read() as connection:
        status = dict(connection.execute(select(Plan.id, Plan.status)).all())
        revisions = Counter(connection.execute(select(Revision.plan_id)).scalars())
        documents = dict(connection.execute(select(Revision.plan_id, Revision.document)).all())
        stories = _stories(connection, select(Event.plan_id, Event.number, Event.kind))
    report.lost = plans - len(promised) + sum(plan_id not in status for plan_id in promised.values())
    report.twice = max(0, len(status) - plans) + sum(count > 1 for count in revisions.values())
    for plan_id, now in status.items():
        report.unfinished += now not in _ENDS
        report.failed += now == "failed" or (now == "done" and revisions[plan_id] == 0)
        report.gaps += not _whole(stories.get(plan_id, []), "queued")
        if live.real_planner:
            report.unaudited += '"audit":{"holds":true' not in documents.get(plan_id, "")
    _judge_studies(database, report)


def _judge_studies(database: Database, report: Report) -> None:
    """Of each plan that was made one study, each of its parts answered once."""
    with database.read() as connection:
        studies = connection.execute(select(Study)).all()
        made = set(connection.execute(select(Revision.plan_id)).scalars())
        answered = Counter(connection.execute(select(StudyPart.study_id).where(StudyPart.status == "done")).scalars())
        said = select(StudyEvent.study_id, StudyEvent.number, StudyEvent.kind)
        stories = _stories(connection, said)
    report.studies = len(studies)
    report.lost += len(made - {study.plan_id for study in studies})
    report.twice += len(studies) - len({study.plan_id for study in studies})
    for study in studies:
        report.unfinished += study.status not in _ENDS
        report.failed += study.status == "failed" or (study.status == "done" and study.result is None)
        report.failed += study.status == "done" and not (study.parts == study.parts_done == answered[study.id])
        report.gaps += not _whole(stories.get(study.id, []), "begun")


def _stories(connection: Connection, said: Select[str, int, str]) -> dict[str, list[tuple[int, str]]]:
    """Number and kind of each event, in order, by the job it is of."""
    stories: dict[str, list[tuple[int, str]]] = {}
    for job_id, number, kind in connection.execute(said.order_by(*said.selected_columns)):
        stories.setdefault(job_id, []).append((number, kind))
    return stories


def _whole(story: list[tuple[int, str]], first: str) -> bool:
    """Whether it begins with that kind, has no gap, and ends once."""
    numbers, kinds = [number for number, _ in story], [kind for _, kind in story]
    in_order = bool(story) and numbers == list(range(1, len(story) + 1)) and kinds[0] == first
    return in_order and kinds.count("done") <= 1 and kinds[-1] in _ENDS
