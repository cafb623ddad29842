"""`./run key`: the first key is made where no service runs, and a lost one is revoked."""

import sys
import time
from datetime import date, timedelta

import pytest

from api.__main__ import main
from worker.records import keys
from worker.records.database import Database
from worker.settings import Settings


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    """`./run key ARGUMENTS`: gives what was printed."""
    monkeypatch.setenv("SHOT_TO_SHIP_DATA", str(tmp_path))

    def command(*arguments):
        monkeypatch.setattr(sys, "argv", ["./run", "key", *arguments])
        main()
        return capsys.readouterr().out.strip()

    return command


def holder(tmp_path, text):
    database = Database(Settings(data=tmp_path).database)
    with database.read() as connection:
        found = keys.holder_of(connection, text, time.time())
    database.close()
    return found


def test_a_key_is_made_listed_and_revoked(run, tmp_path):
    """Shown once; the list knows whose it is and not the secret; revoked it opens nothing."""
    text = run("make", "willow", "--label", "press script", "--scopes", "read,plan")
    assert holder(tmp_path, text).scopes == {"read", "plan"}
    _, key_id, secret = text.split("_")
    listed = run("list")
    words = listed.split()
    assert words[:5] + words[6:] == [key_id, "valid", "willow", "read,plan", "until", "press", "script"]
    assert date.fromisoformat(words[5]) - date.today() in {
        timedelta(days=364),
        timedelta(days=365),
        timedelta(days=366),
    }
    assert secret not in listed
    assert run("revoke", key_id) == ""
    assert holder(tmp_path, text) is None
    assert run("list").split()[1] == "revoked"


def test_a_rotated_key_is_followed_by_another_and_ends_within_a_day(run, tmp_path):
    """So that programs can be given the new one before the old one ends."""
    old = run("make", "willow", "--label", "press script", "--scopes", "read", "--days", "0")
    new = run("rotate", old.split("_")[1])
    assert holder(tmp_path, old).scopes == holder(tmp_path, new).scopes == {"read"}
    assert "without end" in next(line for line in run("list").splitlines() if new.split("_")[1] in line)
    database = Database(Settings(data=tmp_path).database)
    with database.read() as connection:
        assert keys.holder_of(connection, old, time.time() + 2 * 86400) is None
        assert keys.holder_of(connection, new, time.time() + 2 * 86400) is not None
    database.close()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("make", "willow", "--scopes", "read,everything"), "no such scope: everything"),
        (("make", ""), "1 to 200 printable characters"),
        (("make", "wil\nlow"), "1 to 200 printable characters"),
        (("make", "willow", "--days", "9999"), "1 to 3650 days"),
        (("revoke", "0" * 26), "no such key"),
        (("rotate", "0" * 26), "no such key"),
    ],
)
def test_what_cannot_be_ends_with_a_word(run, arguments, words):
    """Not a traceback, and no key."""
    with pytest.raises(SystemExit, match=words):
        run(*arguments)
    assert run("list") == ""
