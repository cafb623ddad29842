"""Processes of the service forked from one that holds their modules already. To import takes each of them seconds of
processor time, and tests that end and start dozens are about what they do, not about how they begin: that they begin is
tested by `tests/service/test_serve.py` and the benchmarks, which start them as a person would."""

import atexit
import gc
import json
import os
import runpy
import select
import signal
import socket
import socketserver
import subprocess
import sys
import tempfile
import threading
from functools import cache
from pathlib import Path
from typing import NoReturn

from worker.parents import die_with_parent

ROOT = Path(__file__).resolve().parents[1]
LOADED = (
    "api.app", "api.apart.process", "api.serving.slow_connections", "uvicorn", "planner.planning.make",
    "planner.schedule.warm", "tests.planner_double", "worker.compiled_in_two", "worker.start",
)  # fmt: skip
"""What processes of the service load, with all that belongs to it."""


class Forked:
    """`python ARGUMENTS`, with what tests do to a process of `subprocess`."""

    def __init__(self, arguments: tuple[str, ...], folder: Path, environment: dict[str, str], log: Path) -> None:
        """log: the file that what it says is written behind."""
        self._line = socket.socket(socket.AF_UNIX)
        self._line.connect(_server())
        given = {"arguments": arguments, "folder": str(folder), "environment": environment, "log": str(log)}
        self._line.sendall(json.dumps(given).encode() + b"\n")
        self._said = self._line.makefile("rb")
        self.pid = int(self._said.readline())
        self._status: int | None = None

    def poll(self) -> int | None:
        """The status it ended with; None: it runs."""
        return self._ended(0.0)

    def wait(self, timeout: float | None = None) -> int:
        """Until it has ended. Raises subprocess.TimeoutExpired."""
        if (status := self._ended(timeout)) is None:
            raise subprocess.TimeoutExpired(f"process {self.pid}", timeout or 0.0)
        return status

    def send_signal(self, sent: int) -> None:
        if self.poll() is None:
            os.kill(self.pid, sent)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def _ended(self, timeout: float | None) -> int | None:
        if self._status is None and select.select([self._line], [], [], timeout)[0]:
            self._status = int(self._said.readline())
            self._said.close()
            self._line.close()
        return self._status


@cache
def _server() -> str:
    """The address of the process that forks, started by whoever asks first; it ends with this one."""
    address = str(Path(tempfile.mkdtemp(prefix="forks")) / "at")
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.forked", address],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        preexec_fn=die_with_parent,
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"ready\n"

    def end() -> None:
        process.terminate()
        process.wait()
        Path(address).unlink()
        Path(address).parent.rmdir()

    atexit.register(end)
    return address


class _One(socketserver.StreamRequestHandler):
    """One process, in a fork: tells its number, and how it ended once it has."""

    def handle(self) -> None:
        die_with_parent()
        given = json.loads(self.rfile.readline())
        assert isinstance(self.server, _Forking)
        if (pid := os.fork()) == 0:
            self.server.socket.close()
            self.connection.close()
            _run(**given)
        self.wfile.write(b"%d\n" % pid)
        _, status = os.waitpid(pid, 0)
        self.wfile.write(b"%d\n" % os.waitstatus_to_exitcode(status))


class _Forking(socketserver.ForkingMixIn, socketserver.UnixStreamServer):
    max_children = 200


def _run(arguments: list[str], folder: str, environment: dict[str, str], log: str) -> NoReturn:
    """As python would with these arguments."""
    die_with_parent()
    os.environ.clear()
    os.environ.update(environment)
    os.chdir(folder)
    out = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o666)
    for stream in (1, 2):
        os.dup2(out, stream)
    os.close(out)
    status = 0
    try:
        if arguments[0] == "-m":
            sys.argv = arguments[1:]
            runpy.run_module(arguments[1], run_name="__main__", alter_sys=True)
        else:
            sys.argv = arguments
            runpy.run_path(arguments[0], run_name="__main__")
    except SystemExit as left:
        status = left.code if isinstance(left.code, int) else int(left.code is not None)
        if isinstance(left.code, str):
            print(left.code, file=sys.stderr)
    except BaseException:
        sys.excepthook(*sys.exc_info())
        status = 1
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status)


def main(address: str) -> None:
    """Load everything, then fork until told to end."""
    gc.disable()
    for name in LOADED:
        __import__(name)
    gc.freeze()
    assert threading.active_count() == 1, "what other threads hold would be held in a fork for ever"
    with _Forking(address, _One) as server:
        print("ready", flush=True)
        server.serve_forever()


if __name__ == "__main__":
    main(sys.argv[1])
