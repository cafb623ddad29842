"""Starts everything, restarts what falls over, ends everything."""

import fcntl
import json
import logging
import os
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from api.serving import sockets
from api.serving.logs import trim
from worker.compiling import mark_in
from worker.parents import die_with_parent
from worker.queue import server
from worker.records.unusable import RecordsUnusable, folder_said
from worker.settings import Settings

log = logging.getLogger(__name__)
LONGEST_START = 400.0
"""Seconds, those apart in which the planner is being compiled: a busy or slow machine does that as fast as it can."""
LONGEST_END = 30.0
"""Seconds: a worker writes down the best plan it has first. A second or two, but on a busy machine ten were seen."""
FALLS_AT_THE_START = 5
"""Who has ended so often before anything could be planned does not come up by being started again."""
COUNTS = "PROMETHEUS_MULTIPROC_DIR"
"""Where the API processes keep their counts of requests, as the Prometheus client asks for it: whoever is asked for the
metrics tells those of all."""
Process = subprocess.Popen[bytes]


class AlreadyServed(Exception):
    """Another process serves this data folder; says where it listens."""


class NeverUp(Exception):
    """Something the service needs ends as soon as it is started; says what, its last words, and where the rest is."""


@dataclass
class Child:
    """One process of the service. after: earliest time of the next start."""

    name: str
    start: Callable[[], Process]
    process: Process | None = None
    falls: int = 0
    after: float = 0.0


@dataclass
class Supervisor:
    """Use as a context: inside, everything runs; afterwards nothing does."""

    settings: Settings
    workers: tuple[str, ...] = ("large,small", "small")
    """The queues of each worker: one is kept for small plans, so that a large one never starves them."""
    answering: Callable[[str], object] | None = None
    """Called once with the address, as soon as what is sent there is kept: before anything can be planned."""
    children: list[Child] = field(default_factory=list)
    _lock: IO[str] | None = None
    _sockets: list[socket.socket] = field(default_factory=list)
    _trim_at: float = 0.0

    @property
    def url(self) -> str:
        return self.settings.url

    def __enter__(self) -> "Supervisor":
        folder = self.settings.data.absolute()
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            folder.chmod(0o700)
            self._take(folder)
        except OSError as error:
            raise RecordsUnusable(folder_said(folder, error)) from None
        try:
            # Before anything is started: what listens there already is not ours, and shall not be asked for anything.
            self._sockets = sockets.listen_at(self.settings.host, self.settings.port)
            self.settings = self.settings.model_copy(update={"data": folder, "port": sockets.port_of(self._sockets)})
            if self.settings.redis_url:
                server.reached(self.settings.redis_url)
            else:
                address = server.address_in(folder)
                self.settings = self.settings.model_copy(update={"redis_url": address.url})
                if not server.answers(address):
                    self.children.append(Child("broker", lambda: server.start(folder, address)))
            counts = folder / "counts"
            mark_in(folder).unlink(missing_ok=True)  # left by a worker that was killed
            shutil.rmtree(counts, ignore_errors=True)  # of processes that are gone
            counts.mkdir()
            self.children.append(Child("api", self._api))
            self.children.append(Child("worker", self._workers))
            self.tend()
            self._wait_until_ready()
            # Only now: until something can be planned, loading and compiling need the cores more.
            for number in range(2, self.settings.listeners + 1):
                self.children.append(Child(f"api{number}", partial(self._api, f"api{number}")))
            self.tend()
            self._tell()
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def tend(self) -> None:
        """Start what does not run. A child that keeps falling is started less and less often."""
        now = time.monotonic()
        if now >= self._trim_at:
            self._trim_at = now + 60
            if trimmed := trim(self.settings.data / "logs"):
                log.info("logs that grew too large begin anew, with an older piece beside them: %s", ", ".join(trimmed))
        for child in self.children:
            if child.process is not None and child.process.poll() is None:
                continue
            if child.process is not None:
                child.falls += 1
                child.after = now + min(30.0, 0.2 * 2 ** min(child.falls, 8)) if child.falls > 3 else now
                log.warning("%s ended with %s, starting it again", child.name, child.process.returncode)
                child.process = None
            if now >= child.after:
                child.process = child.start()

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        # The queue's server last: the others still want to tell it something while they end.
        last = [child for child in self.children if child.name == "broker"]
        first = [child for child in self.children if child.name != "broker"]
        for group in (first, last):
            for child in group:
                _end(child.process, signal.SIGTERM)
            for child in group:
                _wait(child.process, LONGEST_END)
        for one in self._sockets:
            one.close()
        if self._lock is not None:
            self._lock.close()

    def _take(self, folder: Path) -> None:
        self._lock = (folder / "served.lock").open("a+")
        try:
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._lock.seek(0)
            where = self._lock.read().strip() or "an address it has not told yet"
            self._lock.close()
            raise AlreadyServed(f"the folder {folder} is served already, at {where}") from None

    def _tell(self) -> None:
        assert self._lock is not None
        self._lock.seek(0)
        self._lock.truncate()
        self._lock.write(self.url + "\n")
        self._lock.flush()

    def _api(self, name: str = "api") -> Process:
        # All of them take from the same sockets: whoever is free answers.
        numbers = [one.fileno() for one in self._sockets]
        return self._python(name, "-m", "api", "listen", "--sockets", ",".join(map(str, numbers)), hand_over=numbers)

    def _workers(self) -> Process:
        # From one process, which starts again whoever ends: what they have loaded and compiled is there once.
        queues = [word for its in self.workers for word in ("--queues", its)]
        return self._python("worker", "-m", "worker", *queues, "--name", "worker")

    def _python(self, name: str, *arguments: str, hand_over: Sequence[int] = ()) -> Process:
        logs = self.settings.data / "logs"
        logs.mkdir(exist_ok=True)
        with (logs / f"{name}.log").open("ab") as out:
            return subprocess.Popen(
                [sys.executable, *arguments],
                env=os.environ | self.settings.to_environment() | {COUNTS: str(self.settings.data / "counts")},
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                preexec_fn=die_with_parent,
                process_group=0,
                pass_fds=hand_over,
            )

    def _wait_until_ready(self) -> None:
        # The sockets are ours, so nobody else can answer there: whose name the certificate has need not be checked.
        ours = ssl._create_unverified_context() if self.settings.tls_certificate else None
        since, told, compiling = time.monotonic(), False, mark_in(self.settings.data)
        answering = self.answering
        while time.monotonic() < since + LONGEST_START:
            self.tend()
            for child in self.children:
                if child.falls >= FALLS_AT_THE_START:
                    raise NeverUp(self._last_words(child.name))
            standing = self._standing(ours)
            if standing.get("writes") and answering is not None:
                answering(self.url)
                answering = None
            if standing.get("ready"):
                return
            if compiling.exists():
                since = time.monotonic()
            if not told and compiling.exists():
                told = True
                log.warning("the planner is being compiled, once on this machine; this takes up to a minute or two")
                log.warning(
                    "%s can be opened already: what you send there is planned as soon as that is done", self.url
                )
            time.sleep(0.1)
        raise TimeoutError(f"the service did not get ready; see {self.settings.data / 'logs'}")

    def _standing(self, ours: ssl.SSLContext | None) -> dict[str, Any]:
        """What the service says of itself, ready or not; nothing where it does not answer."""
        try:
            with urllib.request.urlopen(f"{self.url}/v1/ready", timeout=2, context=ours) as answer:
                return dict(json.load(answer))
        except urllib.error.HTTPError as not_yet:
            try:
                return dict(json.load(not_yet))
            except (OSError, ValueError):
                return {}
        except (OSError, ValueError):
            return {}

    def _last_words(self, name: str) -> str:
        log_file = self.settings.data / ("broker.log" if name == "broker" else f"logs/{name}.log")
        written = log_file.read_text(errors="replace").strip() if log_file.exists() else ""
        words = written.rpartition("\n")[2] or "it says nothing"
        return f"the service cannot start: {name} ends as soon as it is started ({words}); the whole log is {log_file}"


def _end(process: Process | None, sent: int) -> None:
    if process is not None and process.poll() is None:
        process.send_signal(sent)


def _wait(process: Process | None, seconds: float) -> None:
    if process is None:
        return
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
