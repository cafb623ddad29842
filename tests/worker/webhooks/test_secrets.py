"""Signing secrets that the records do not hold."""

import base64
import stat

import pytest

from tests.live_service import waited
from worker.records import webhook_outbox, workshops
from worker.settings import Settings
from worker.webhooks import secrets
from worker.webhooks.sender import WebhookSender

SECRET = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"


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
    assert len(base64.b64decode(secrets.derived(one, "a").removeprefix("whsec_"))) == 24
    with pytest.raises(secrets.OtherKey):
        secrets.secret_of(other, "a", secrets.mark(one))


def test_secrets_from_before_are_sealed_and_sign_as_they_did(database) -> None:
    """Older versions left them readable: afterwards the records hold nothing of them, and receivers need no new one."""
    key, secret = secrets.key_of(Settings(webhook_key="one")), SECRET
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        older = webhook_outbox.add_webhook(connection, workshop, "https://a.example/", secret, 1.0)
        other = webhook_outbox.add_webhook(connection, workshop, "https://b.example/", secret, 1.0)
        newer = webhook_outbox.add_webhook(connection, workshop, "https://c.example/", secrets.mark(key), 1.0)
    assert secrets.seal(database, key) == 2
    assert secrets.seal(database, key) == 0, "once"
    with database.read() as connection:
        kept = dict(webhook_outbox.kept_secrets(connection))
    assert not any(secret.removeprefix("whsec_") in text for text in kept.values())
    assert kept[older] != kept[other], "the same secret of two webhooks looks like two"
    assert secrets.secret_of(key, older, kept[older]) == secrets.secret_of(key, other, kept[other]) == secret
    assert secrets.secret_of(key, newer, kept[newer]) == secrets.derived(key, newer)
    with pytest.raises(secrets.OtherKey):
        secrets.secret_of(secrets.key_of(Settings(webhook_key="other")), older, kept[older])


def test_a_worker_seals_as_it_begins(database, tmp_path) -> None:
    settings, secret = Settings(data=tmp_path / "data"), SECRET
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        webhook_outbox.add_webhook(connection, workshop, "https://a.example/", secret, 1.0)
    carrying = WebhookSender(database, settings)
    carrying.start()

    def sealed() -> bool:
        with database.read() as connection:
            return all(text.startswith(secrets.SEALED) for _, text in webhook_outbox.kept_secrets(connection))

    try:
        waited(sealed, 30)
    finally:
        carrying.stop()
