"""Signing secrets that the records do not hold: each is derived from one key and the webhook's id.

The key is a setting, or a file of its own beside the records that only its owner can read. Who reads the records, or a
backup of them, can sign nothing. Webhooks from before that have secrets of their own, which stood in the records: these
are sealed with the same key, each by a stream of bytes that is used for nothing else (HMAC-SHA-256 of the webhook's id,
as a one-time pad).
"""

import base64
import hashlib
import hmac
import os
import secrets
from pathlib import Path

from worker.records import webhook_outbox
from worker.records.database import Database
from worker.settings import Settings
from worker.webhooks.signing import PREFIX

FILE = "webhook.key"
DERIVED, SEALED = "derived:", "sealed:"
"""How a webhook's row begins whose secret is derived, or sealed; after it, which key with. What begins otherwise is the
secret itself, as older versions wrote it, until `seal` was there."""


class OtherKey(Exception):
    """The webhook was added under another key than this process has."""


def key_of(settings: Settings) -> bytes:
    """The key; made and kept where there is none yet."""
    if settings.webhook_key:
        return hashlib.sha256(settings.webhook_key.encode()).digest()
    file = settings.data / FILE
    made = Path(f"{file}.{os.getpid()}.{secrets.token_hex(4)}")
    if not file.exists():
        settings.data.mkdir(parents=True, exist_ok=True, mode=0o700)
        with open(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
            out.write(secrets.token_hex(32))
        try:
            os.link(made, file)  # whole, and only if nobody was quicker
        except FileExistsError:
            pass
        finally:
            made.unlink()
    return bytes.fromhex(file.read_text().strip())


def mark(key: bytes) -> str:
    """What the webhook's row says in the secret's place."""
    return DERIVED + _which(key)


def _which(key: bytes) -> str:
    return hashlib.sha256(b"which key " + key).hexdigest()[:16]


def derived(key: bytes, webhook_id: str) -> str:
    """The webhook's signing secret, as Standard Webhooks write it: 24 bytes."""
    drawn = hmac.new(key, f"webhook {webhook_id}".encode(), hashlib.sha256).digest()
    return PREFIX + base64.b64encode(drawn[:24]).decode()


def sealed(key: bytes, webhook_id: str, secret: str) -> str:
    """What the webhook's row says in place of a secret of its own. Raises ValueError for one of above 32 bytes."""
    plain = base64.b64decode(secret.removeprefix(PREFIX), validate=True)
    return f"{SEALED}{_which(key)}:{base64.b64encode(_padded(key, webhook_id, plain)).decode()}"


def secret_of(key: bytes, webhook_id: str, kept: str) -> str:
    """The secret of a webhook whose row keeps that. Raises OtherKey."""
    if kept.startswith(DERIVED):
        if not hmac.compare_digest(kept, mark(key)):
            raise OtherKey
        return derived(key, webhook_id)
    if kept.startswith(SEALED):
        which, _, closed = kept.removeprefix(SEALED).partition(":")
        if not hmac.compare_digest(which, _which(key)):
            raise OtherKey
        return PREFIX + base64.b64encode(_padded(key, webhook_id, base64.b64decode(closed))).decode()
    return kept


def _padded(key: bytes, webhook_id: str, text: bytes) -> bytes:
    """The same again gives the text back. A webhook's secret never changes, so no pad is used for two texts."""
    pad = hmac.new(key, f"seal {webhook_id}".encode(), hashlib.sha256).digest()
    if len(text) > len(pad):
        raise ValueError(f"a secret of {len(text)} bytes is longer than any of ours")
    return bytes(a ^ b for a, b in zip(text, pad, strict=False))


def seal(database: Database, key: bytes) -> int:
    """Seal what older versions left readable in the records; gives how many."""
    with database.read() as connection:
        readable = [row for row in webhook_outbox.kept_secrets(connection) if not row[1].startswith((DERIVED, SEALED))]
    for webhook_id, secret in readable:
        with database.write() as connection:
            webhook_outbox.keep_secret(connection, webhook_id, secret, sealed(key, webhook_id, secret))
    return len(readable)
