"""Several workers from one process: begun, begun again, ended, and not begun for ever."""

import os
import signal
import subprocess
import sys

import pytest

PROGRAM = """
import os, signal, sys, time
from worker.several import several
def work(n):
    os.write(1, f"{{n}} {{os.getpid()}}\\n".encode())
    {work}
signal.signal(signal.SIGTERM, signal.SIG_DFL)
several(2, work)
os.write(1, b"ended\\n")
"""
POLITE = """signal.signal(signal.SIGTERM, lambda *_: (os.write(1, b"gives back\\n"), sys.exit(0)))
    os.write(1, b"ready\\n")
    while True: signal.pause()"""


def begun(work):
    return subprocess.Popen(
        [sys.executable, "-c", PROGRAM.format(work=work)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def told(process, number):
    return [process.stdout.readline().strip() for _ in range(number)]


@pytest.mark.parametrize("asked", [signal.SIGTERM, signal.SIGINT])
def test_who_ends_is_begun_again_and_all_end_when_asked(asked):
    """By its number; each hears that it is to end, and is waited for."""
    process = begun(POLITE)
    try:
        said = told(process, 4)
        assert said.count("ready") == 2
        pids = dict(map(int, line.split()) for line in said if line != "ready")
        assert set(pids) == {0, 1}
        os.kill(pids[1], signal.SIGTERM)  # ends in peace: no fault
        assert told(process, 1) == ["gives back"]
        number, pid = map(int, told(process, 1)[0].split())
        assert number == 1
        assert pid not in pids.values()
        assert told(process, 1) == ["ready"]
        process.send_signal(asked)
        assert sorted(told(process, 3)) == ["ended", "gives back", "gives back"]
        assert process.wait(30) == 0
    finally:
        process.kill()
        process.communicate()


@pytest.mark.parametrize(
    ("fault", "status", "words"),
    [
        ('sys.exit("the records are of a newer version")', 1, "the records are of a newer version"),
        ("sys.exit(3)", 3, ""),
        ("raise OSError('no room')", 1, "no room"),
        ("os.kill(os.getpid(), signal.SIGKILL)", 137, ""),
    ],
)
def test_who_does_not_come_up_is_not_begun_for_ever(fault, status, words):
    """The others end too, and whoever began them all hears the status."""
    process = begun(f"if n == 1: {fault}\n    {POLITE}")
    _, errors = process.communicate(timeout=60)
    assert process.returncode == status
    assert words in errors


def test_they_end_with_whoever_began_them():
    """Killed, it can pass nothing on."""
    process = begun(POLITE)
    said = told(process, 4)
    process.kill()
    process.wait()
    rest = process.stdout.read()  # ends once nobody holds the pipe
    assert said.count("ready") == 2
    assert rest == ""
    process.stderr.close()
    process.stdout.close()
