"""The whole service as processes of a test's own."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import httpx2

from tests.forked import Forked
from worker.parents import die_with_parent
from worker.queue import server
from worker.settings import Settings

ROOT = Path(__file__).resolve().parents[1]


class Running(Protocol):
    """A process, as `subprocess` or `Forked` has it."""

    @property
    def pid(self) -> int: ...
    def poll(self) -> int | None: ...
    def wait(self, timeout: float | None = None) -> int: ...
    def send_signal(self, sent: int, /) -> None: ...
    def kill(self) -> None: ...


@dataclass
class LiveService:
    """The service as real processes, which a test may kill. real_planner: no double in the workers. clock_off: seconds
    by which the wall clock of those started from now on is wrong. small_disk: the folder's own, which may be filled.
    forked: see `tests/forked.py`; no measure of how fast or how large anything is."""

    settings: Settings
    real_planner: bool = False
    clock_off: float = 0.0
    small_disk: bool = False
    forked: bool = False
    processes: dict[str, Running] = field(default_factory=dict)
    # One client for all: making one costs more than a hundred requests.
    client: httpx2.Client = field(default_factory=lambda: httpx2.Client(timeout=70, trust_env=False, verify=False))

    @property
    def url(self) -> str:
        return f"http://{self.settings.host}:{self.settings.port}"

    def start(self) -> None:
        """Everything, with one worker; returns when it is ready."""
        self.start_broker()
        self.start_worker()
        self.start_api()
        # The real planner may have to be compiled first.
        self.wait(lambda: self.get("/v1/ready").status_code == 200, 400 if self.real_planner else 60)

    def start_broker(self) -> None:
        address = server.address_in(self.settings.data)
        self.settings = self.settings.model_copy(update={"redis_url": address.url})
        self.processes["broker"] = server.start(self.settings.data, address)

    def start_worker(self, name: str = "worker1", queues: str = "small,large") -> None:
        program = ("-m", "worker") if self.real_planner else (str(ROOT / "tests" / "planner_double.py"),)
        self._start(name, *program, "--queues", queues, "--name", name)

    def start_api(self) -> None:
        self._start("api", "-m", "api", "listen")
        self.wait(lambda: self.get("/v1/live").status_code == 200, 180)

    def kill(self, name: str, sent: int = signal.SIGKILL) -> None:
        process = self.processes.pop(name)
        process.send_signal(sent)
        process.wait(60)

    def get(self, path: str, **options: object) -> httpx2.Response:
        return self.client.get(self.url + path, **options)  # type: ignore[arg-type]

    def post(self, path: str, document: object = None, **headers: str) -> httpx2.Response:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.post(self.url + path, json=document, headers=named)

    def wait(self, until: Callable[[], bool], seconds: float = 30) -> None:
        """Until it is true; what it raises on the way counts as not yet."""
        with contextlib.suppress(TimeoutError):
            waited(until, seconds)
            return
        logs = "\n".join(f"== {p.name}\n{p.read_text()[-2500:]}" for p in sorted(self.settings.data.glob("*.log")))
        raise AssertionError(f"not within {seconds} s; logs:\n{logs}")

    def end(self) -> None:
        for name in list(self.processes):
            self.kill(name)

    def _clock(self) -> dict[str, str]:
        if not self.clock_off:
            return {"PYTHONPATH": str(ROOT)}
        moved = ROOT / "tests" / "support" / "moved_clock"
        return {"PYTHONPATH": f"{moved}:{ROOT}", "WALL_CLOCK_OFF": str(self.clock_off)}

    def _start(self, name: str, *arguments: str) -> None:
        folder, log = self.settings.data, self.settings.data / f"{name}.log"
        environment = os.environ | self._clock() | self.settings.to_environment()
        if self.forked and not self.clock_off:
            self.processes[name] = Forked(arguments, folder, environment, log)
            return
        with log.open("ab") as out:
            self.processes[name] = subprocess.Popen(
                [sys.executable, *arguments],
                cwd=folder,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                preexec_fn=die_with_parent,
            )


def waited(until: Callable[[], bool], seconds: float) -> None:
    """Until it is true; what it raises on the way counts as not yet. Raises TimeoutError."""
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        with contextlib.suppress(Exception):
            if until():
                return
        time.sleep(0.1)
    raise TimeoutError(f"not within {seconds} s")


def new_live_service(folder: Path, **changes: object) -> LiveService:
    """A service with quick leases; nothing of it runs yet."""
    folder.mkdir()
    quick = {"heartbeat": 0.5, "lease": 3.0, "resend_after": 1.5, "overrun_grace": 2.0}
    return LiveService(Settings(data=folder, port=server.free_port(), **(quick | changes)))  # type: ignore[arg-type]


def forked_service(folder: Path, **changes: object) -> LiveService:
    """The same, its processes forked from one that has loaded all modules."""
    live = new_live_service(folder, **changes)
    live.forked = True
    return live
