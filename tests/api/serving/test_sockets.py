"""Where the service listens: held by whoever starts it, and said in a sentence where that cannot be."""

import socket
import stat

import pytest

from api.serving.sockets import PortTaken, inherited, listen_at, port_of
from api.serving.supervisor import Supervisor
from worker.settings import Settings


def test_a_port_in_use_is_said_and_nothing_is_started(tmp_path) -> None:
    """Another program's service answered there, was taken for ours, and got our plans."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        supervisor = Supervisor(Settings(data=tmp_path / "ours", port=port))
        with pytest.raises(
            PortTaken, match=f"port {port} on 127.0.0.1 is in use by another program.*SHOT_TO_SHIP_PORT"
        ):
            supervisor.__enter__()
    assert supervisor.children == []
    free = Supervisor(Settings(data=tmp_path / "ours", port=port))
    free._take(tmp_path / "ours")  # the folder was let go of
    assert free._lock is not None
    free._lock.close()


def test_the_folder_is_closed_to_others_before_anything_is_written_there(tmp_path) -> None:
    """Also one that somebody made before, open to everybody."""
    folder = tmp_path / "ours"
    folder.mkdir()
    folder.chmod(0o755)
    with socket.create_server(("127.0.0.1", 0)) as other, pytest.raises(PortTaken):
        Supervisor(Settings(data=folder, port=other.getsockname()[1])).__enter__()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_while_it_is_open_nobody_else_can_listen_there() -> None:
    ours = listen_at("127.0.0.1", 0)
    port = port_of(ours)
    with pytest.raises(PortTaken):
        listen_at("127.0.0.1", port)
    with pytest.raises(PortTaken):
        listen_at("0.0.0.0", port)
    for one in ours:
        one.close()
    for one in listen_at("127.0.0.1", port):
        one.close()


def test_a_name_with_several_addresses_has_one_port(monkeypatch) -> None:
    found = [
        (socket.AF_INET, socket.SOCK_STREAM, 6, "", ("127.0.0.1", 0)),
        (socket.AF_INET, socket.SOCK_STREAM, 6, "", ("127.0.0.2", 0)),
    ]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: found)
    both = listen_at("both", 0)
    assert len({one.getsockname()[1] for one in both}) == 1
    assert len(both) == 2
    handed = inherited(",".join(str(one.detach()) for one in both))
    assert port_of(handed)
    for one in handed:
        one.close()


@pytest.mark.parametrize("host", ["no-such-host.invalid", "203.0.113.7"])
def test_an_address_that_is_not_ours_is_said(host: str) -> None:
    with pytest.raises(PortTaken, match=host):
        listen_at(host, 0)
