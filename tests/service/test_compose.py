"""docker-compose.yml and the Dockerfile against the project: every path, command and variable in them."""

import re
import shlex
from pathlib import Path

import pytest
import yaml
from sqlalchemy.engine import make_url

import api.__main__
import worker.start
from worker.settings import PREFIX, Settings

ROOT = Path(__file__).resolve().parents[2]
PARSERS = {"api": api.__main__.options, "worker": worker.start.options}
COMPOSE = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
SERVICES = COMPOSE["services"]
OURS = sorted(name for name, service in SERVICES.items() if "build" in service)


def filled(text: str) -> str:
    """The text with each ${VARIABLE:?message} filled in."""
    return re.sub(r"\$\{[A-Z_]+:\?[^}]*\}", "secret", str(text))


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
            taken |= set(worker.start.options().parse_args(SERVICES[name]["command"][3:]).queues.split(","))
    assert taken == {"small", "large"}


def test_the_queue_may_not_forget_by_itself():
    """Append-only file on, nothing evicted (what is lost all the same is sent again from the records)."""
    command = " ".join(SERVICES["redis"]["command"])
    assert "--appendonly yes" in command
    assert "--maxmemory-policy noeviction" in command


def test_the_image_copies_what_exists_and_installs_the_lock():
    """Each COPY has its source, each floor is copied, the lock is installed with its hashes."""
    lines = (ROOT / "Dockerfile").read_text().splitlines()
    copied = [shlex.split(line)[1] for line in lines if line.startswith("COPY ")]
    assert all((ROOT / source).exists() for source in copied)
    assert {"planner", "worker", "api", "requirements/serve.txt"} <= set(copied)
    ignored = (ROOT / ".dockerignore").read_text().split()
    assert not set(copied) & set(ignored)
    assert any("--require-hashes -r requirements/serve.txt" in line for line in lines)
    python, _, module, *arguments = yaml.safe_load(lines[-1].removeprefix("CMD "))
    assert python == "python"
    PARSERS[module]().parse_args(arguments)
