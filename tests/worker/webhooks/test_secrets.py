"""Signing secrets that the records do not hold."""

import stat

import pytest

from worker.settings import Settings
from worker.webhooks import secrets


def test_the_key_is_a_file_of_its_own_that_only_its_owner_reads(tmp_path) -> None:
    settings = Settings(data=tmp_path / "data")
    key = secrets.key_of(settings)
    assert key == secrets.key_of(settings)
    (file,) = (tmp_path / "data").iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert secrets.key_of(Settings(data=tmp_path / "other")) != key
    assert secrets.key_of(Settings(webhook_key="a")) == secrets.key_of(Settings(webhook_key="a", data=tmp_path)) != key


def test_each_webhook_has_its_own_secret_and_another_key_is_noticed(tmp_path) -> None:
    one, other = (secrets.key_of(Settings(webhook_key=word)) for word in ("one", "other"))
    assert secrets.secret_of(one, "a", secrets.mark(one)) == secrets.derived(one, "a") != secrets.derived(one, "b")
    with pytest.raises(secrets.OtherKey):
        secrets.secret_of(other, "a", secrets.mark(one))
    assert secrets.secret_of(one, "a", "whsec_of-before") == "whsec_of-before"
