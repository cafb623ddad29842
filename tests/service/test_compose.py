"""docker-compose.yml and the Dockerfile against the project: every path, command and variable in them."""

import os
import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
import yaml
from sqlalchemy.engine import make_url

import api.__main__
import worker.start
from worker import alive
from worker.records import health
from worker.settings import PREFIX, Settings

ROOT = Path(__file__).resolve().parents[2]
PARSERS = {"api": api.__main__.options, "worker": worker.start.options}
COMPOSE = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES = COMPOSE["services"]
OURS = sorted(name for name, service in SERVICES.items() if "build" in service)


PASSWORD = "p@ss:w/o%rd #1 {$x}"


def filled(text: str) -> str:
    """The text with each ${VARIABLE:?message} filled in."""
    return re.sub(r"\$\{[A-Z_]+:\?[^}]*\}", lambda _: PASSWORD, str(text))


def test_the_four_kinds_of_service_are_there():
    """API, worker, queue, records."""
    assert {"api", "worker", "redis", "database"} <= set(SERVICES)
    assert len(OURS) >= 3


@pytest.mark.parametrize("name", OURS)
def test_commands_are_ones_the_project_has(name):
    """`python -m MODULE ARGUMENTS`, read by that module's own parser."""
    python, dash, module, *arguments = SERVICES[name]["command"]
    assert (python, dash) == ("python", "-m")
    assert (ROOT / module / "__main__.py").exists()
    PARSERS[module]().parse_args(arguments)


@pytest.mark.parametrize("name", OURS)
def test_variables_are_settings(name):
    """Each is read by the settings, and leads to services and ports of this file."""
    environment = {k: filled(v) for k, v in SERVICES[name]["environment"].items()}
    assert all(variable.startswith(PREFIX) for variable in environment)
    settings = Settings.from_environment(environment)
    database = make_url(settings.database)
    stored = SERVICES["database"]["environment"]
    assert (database.host, database.username, database.database, database.password) == (
        "database",
        stored["POSTGRES_USER"],
        stored["POSTGRES_DB"],
        filled(stored["POSTGRES_PASSWORD"]),
    )
    assert settings.redis_url == "redis://redis:6379/0"
    assert str(settings.data) in {volume.split(":")[1] for volume in SERVICES[name]["volumes"]}


def test_the_published_port_is_the_one_listened_on():
    """And it is published on loopback only."""
    settings = Settings.from_environment({k: filled(v) for k, v in SERVICES["api"]["environment"].items()})
    (published,) = SERVICES["api"]["ports"]
    host, _, inside = published.split(":")
    assert (host, int(inside), settings.host) == ("127.0.0.1", settings.port, "0.0.0.0")


@pytest.mark.parametrize("name", sorted(SERVICES))
def test_names_lead_somewhere(name):
    """Volumes are declared, dependencies exist and have the health check they are waited for by."""
    service = SERVICES[name]
    for volume in service.get("volumes", []):
        assert volume.split(":")[0] in COMPOSE["volumes"]
    for other, how in service.get("depends_on", {}).items():
        assert how["condition"] != "service_healthy" or "healthcheck" in SERVICES[other]


def test_both_queues_are_worked():
    """No plan waits for a queue nobody takes from."""
    taken = set()
    for name in OURS:
        if SERVICES[name]["command"][2] == "worker":
            for queues in worker.start.options().parse_args(SERVICES[name]["command"][3:]).queues:
                taken |= set(queues.split(","))
    assert taken == {"small", "large"}


def test_the_queue_may_not_forget_by_itself():
    """Append-only file on, nothing evicted (what is lost all the same is sent again from the records)."""
    command = " ".join(SERVICES["redis"]["command"])
    assert "--appendonly yes" in command
    assert "--maxmemory-policy noeviction" in command


@pytest.mark.parametrize("name", sorted(SERVICES))
def test_every_container_is_closed_limited_and_watched(name):
    """Root read only, no capabilities and none to be gained; memory, cores and processes limited; a health check."""
    service = SERVICES[name]
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert {"cpus", "memory", "pids"} <= set(service["deploy"]["resources"]["limits"])
    assert service["healthcheck"]["test"][0] == "CMD"
    assert "timeout" in service["healthcheck"]


def test_no_image_is_named_by_a_tag():
    """Each comes from a variable without a default: without its digest nothing starts."""
    named = dict(line.split() for line in (ROOT / "containers" / "images.txt").read_text().splitlines()[1:])
    images = [service["image"] for service in SERVICES.values() if "image" in service]
    images += [SERVICES[name]["build"]["args"]["PYTHON_IMAGE"] for name in OURS]
    variables = {re.fullmatch(r"\$\{([A-Z_]+):\?[^}]+\}", image)[1] for image in images}
    assert variables == set(named)
    assert "FROM ${PYTHON_IMAGE}" in (ROOT / "Dockerfile").read_text()


@pytest.mark.parametrize("told", ["sha256:" + "0a" * 32, "no such image", ""])
def test_images_are_pinned_by_the_digest_the_registry_tells_or_not_at_all(tmp_path, told):
    """Docker's part is played by a script; what is no digest leaves the pins as they were."""
    for name in ("pin", "images.txt"):
        shutil.copy(ROOT / "containers" / name, tmp_path)
    (tmp_path / "bin").mkdir()
    docker = tmp_path / "bin" / "docker"
    docker.write_text(f"#!/bin/sh\necho '{told}'\n")
    docker.chmod(0o755)
    path = f"{docker.parent}:{os.environ['PATH']}"
    ended = subprocess.run([tmp_path / "pin"], env={"PATH": path}, capture_output=True, text=True, check=False)
    pinned = tmp_path / "images.env"
    assert (ended.returncode == 0) == pinned.exists() == told.startswith("sha256:")
    if pinned.exists():
        assert pinned.read_text().splitlines()[1] == f"REDIS_IMAGE=redis:7-alpine@{told}"


def test_a_worker_is_watched_by_its_host(database):
    """The health check of a container asks for its own worker, not for anybody's."""
    with database.write() as connection:
        health.say_here(connection, "worker@one:17", "small", database.lease_clock.now(connection))
    assert alive.heard_of(database, "one")
    assert not alive.heard_of(database, "on")
    with database.write() as connection:
        health.say_gone(connection, "worker@one:17")
    assert not alive.heard_of(database, "one")


def test_the_image_copies_what_exists_and_installs_the_lock():
    """Each COPY has its source, each floor is copied, the lock is installed with its hashes."""
    lines = (ROOT / "Dockerfile").read_text().splitlines()
    copied = [shlex.split(line)[1] for line in lines if line.startswith("COPY ")]
    assert all((ROOT / source).exists() for source in copied)
    assert {"planner", "worker", "api", "requirements/serve.txt"} <= set(copied)
    ignored = (ROOT / ".dockerignore").read_text().split()
    assert not set(copied) & set(ignored)
    assert any("--require-hashes -r requirements/serve.txt" in line for line in lines)
    assert (ROOT / yaml.safe_load(lines[-2].removeprefix("ENTRYPOINT "))[0]).stat().st_mode & 0o111
    python, _, module, *arguments = yaml.safe_load(lines[-1].removeprefix("CMD "))
    assert python == "python"
    PARSERS[module]().parse_args(arguments)
