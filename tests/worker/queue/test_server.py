"""A queue's server of our own: started, found again, and an error that says what to do where there is none."""

import socket
import stat

import pytest
import redis

from worker.queue import server
from worker.queue.server import Address, NoServer, address_in, answers, find_program, free_port, reached, start


def test_one_starts_answers_and_is_found_again(tmp_path):
    """A restart finds it by the folder, whoever asks with another password is not answered, and it ends when told."""
    address = address_in(tmp_path)
    assert not answers(address)
    process = start(tmp_path, address)
    try:
        assert process.poll() is None
        assert answers(address)
        assert not answers(Address(address.port, "another"))
        assert address_in(tmp_path) == address
        reached(address.url)
        assert redis.Redis.from_url(address.url).config_get("appendonly") == {"appendonly": "yes"}
    finally:
        process.terminate()
        process.wait(timeout=20)
    assert address_in(tmp_path) == address, "the port is free again, and clients know it"


def test_its_password_is_for_the_owner_alone(tmp_path):
    first = address_in(tmp_path / "a")
    assert stat.S_IMODE((tmp_path / "a" / "broker.json").stat().st_mode) == 0o600
    assert address_in(tmp_path / "b").password != first.password


@pytest.mark.parametrize("kept", ["", "{", "{}", '{"port": "many", "password": "x"}'])
def test_what_cannot_be_read_is_written_anew(tmp_path, kept):
    (tmp_path / "broker.json").write_text(kept)
    address = address_in(tmp_path)
    assert address_in(tmp_path) == address


def test_a_port_that_others_took_meanwhile_is_given_up(tmp_path):
    before = address_in(tmp_path)
    with socket.socket() as other:
        other.bind(("127.0.0.1", before.port))
        other.listen()
        assert address_in(tmp_path).port != before.port


def test_a_program_that_ends_at_once_is_said_with_where_to_look(tmp_path, monkeypatch):
    monkeypatch.setattr(server, "find_program", lambda: "/bin/cat")  # `cat -` copies its settings and ends
    with pytest.raises(NoServer, match=r"broker\.log"):
        start(tmp_path, Address(free_port(), "x"))


def test_one_on_the_path_comes_before_ours(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    ours = find_program()
    (tmp_path / "redis-server").touch(mode=0o755)
    assert find_program() == str(tmp_path / "redis-server") != ours


def test_one_that_is_named_and_not_there_is_an_error_with_a_remedy():
    with pytest.raises(NoServer, match="start it, or leave SHOT_TO_SHIP_REDIS_URL empty"):
        reached(f"redis://127.0.0.1:{free_port()}/0")


def test_a_server_that_is_away_is_asked_once(monkeypatch):
    """Each start of the service asks; to wait and try again would hold it up for seconds."""
    tried = []

    def connect(connection):
        tried.append(connection)
        raise ConnectionRefusedError

    monkeypatch.setattr(redis.Connection, "_connect", connect)
    assert not answers(Address(free_port(), "x"))
    assert len(tried) == 1
