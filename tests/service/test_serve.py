"""`./run serve`: one command starts everything, starts again what falls over, and leaves nothing behind."""

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import httpx2
import psutil
import pytest

from tests.live_service import ROOT, waited
from tests.planner_double import campaign_named

pytestmark = [pytest.mark.service, pytest.mark.slow]


def serve(folder: Path, *before: str, apis: int = 2) -> subprocess.Popen[str]:
    """The command, its data in that folder. before: folders to import from before the checkout. apis: processes that
    listen."""
    environment = {name: text for name, text in os.environ.items() if not name.startswith("SHOT_TO_SHIP_")}
    return subprocess.Popen(
        [sys.executable, "-m", "api", "serve"],
        env=environment
        | {
            "PYTHONPATH": os.pathsep.join([*before, str(ROOT)]),
            "SHOT_TO_SHIP_DATA": str(folder),
            "SHOT_TO_SHIP_PORT": "0",
        }
        | {"SHOT_TO_SHIP_API_PROCESSES": str(apis)},
        cwd=folder.parent,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def children(supervisor: psutil.Process) -> dict[int, str]:
    """Process id -> what each child of the supervisor is."""
    found = {}
    for child in supervisor.children():
        words = child.cmdline()
        found[child.pid] = words[words.index("-m") + 1] if "-m" in words else "broker"
    return found


def workers(supervisor: int) -> set[int]:
    """Process ids of the workers, which come from one process that does nothing else."""
    (warm,) = (pid for pid, name in children(psutil.Process(supervisor)).items() if name == "worker")
    return {child.pid for child in psutil.Process(warm).children()}


def ready(url: str) -> dict[str, object]:
    return httpx2.get(f"{url}/v1/ready", timeout=10, trust_env=False).json()


def test_everything_is_started_kept_up_and_ended(tmp_path):
    """Plans are made; a second is sent to the first; a killed worker is back from the process both came from, and
    so are that one and a killed API; then all ends."""
    folder = tmp_path / "data"
    process = serve(folder)
    try:
        said = process.stdout.readline()
        url = re.search(r"listens at (http://127\.0\.0\.1:\d+) ", said)[1]
        waited(lambda: ready(url)["workers"] == 2, 120)
        first = children(psutil.Process(process.pid))
        assert sorted(first.values()) == ["api", "api", "broker", "worker"]
        quick = campaign_named("quick", planning={"rounds": 1})
        answer = httpx2.post(f"{url}/v1/plans", json=quick, headers={"Prefer": "wait=60"}, timeout=70, trust_env=False)
        assert answer.json()["status"] == "done"

        second = serve(folder)
        _, refused = second.communicate(timeout=60)
        assert second.returncode == 1
        assert f"is served already, at {url}" in refused

        for _ in range(30):
            httpx2.get(f"{url}/v1/live", timeout=10, trust_env=False)
        told = [httpx2.get(f"{url}/v1/metrics", timeout=10, trust_env=False).text for _ in range(6)]
        counts = [float(re.search(r'http_requests_total{.*route="/v1/live".*} (\S+)', text)[1]) for text in told]
        assert counts == [30.0] * 6, "whichever process is asked tells what all have answered"

        ones = workers(process.pid)
        assert len(ones) == 2
        os.kill(min(ones), signal.SIGKILL)
        waited(lambda: len(workers(process.pid) - ones) == 1, 60)
        assert max(ones) in workers(process.pid)
        assert children(psutil.Process(process.pid)).keys() == first.keys()

        fallen = {next(pid for pid in first if first[pid] == name) for name in ("api", "worker")}
        for pid in fallen:
            os.kill(pid, signal.SIGKILL)
        waited(lambda: sorted(children(psutil.Process(process.pid)).values()) == sorted(first.values()), 60)
        waited(lambda: ready(url)["ready"] and ready(url)["workers"] == 2, 120)
        assert first.keys() - children(psutil.Process(process.pid)).keys() == fallen

        everybody = psutil.Process(process.pid).children(recursive=True)
        process.send_signal(signal.SIGTERM)
        rest, _ = process.communicate(timeout=60)
        assert (process.returncode, rest) == (0, "ended\n")
        assert psutil.wait_procs(everybody, timeout=10)[1] == []
    finally:
        process.kill()
        process.wait()


def test_what_never_comes_up_is_not_started_for_ever(tmp_path):
    """A package that is missing, say: the command ends, names who fell and why, and leaves nothing behind. (One of the
    first that a worker loads: to fall five times then takes a third of the time.)"""
    broken = tmp_path / "broken"
    broken.mkdir()
    (broken / "numba.py").write_text("raise ModuleNotFoundError(\"No module named 'numba'\")\n")
    process = serve(tmp_path / "data", str(broken), apis=1)
    _, refused = process.communicate(timeout=120)
    assert process.returncode == 1
    assert re.search(
        r"the service cannot start: \w+ ends as soon as it is started \(.*No module named 'numba'", refused
    )
    assert str(tmp_path / "data" / "logs") in refused
