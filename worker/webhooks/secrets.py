"""Signing secrets that the records do not hold: each is derived from one key and the webhook's id.

The key is a setting, or a file of its own beside the records that only its owner can read. Who reads the records, or a
backup of them, can sign nothing.
"""

import base64
import hashlib
import hmac
import os
import secrets
from pathlib import Path

from worker.settings import Settings
from worker.webhooks.signing import PREFIX

FILE = "webhook.key"
DERIVED = "derived:"
"""How a webhook's row begins whose secret is derived; after it, which key from. Older rows hold the secret itself."""


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
    return DERIVED + hashlib.sha256(b"which key " + key).hexdigest()[:16]


def derived(key: bytes, webhook_id: str) -> str:
    """The webhook's signing secret, as Standard Webhooks write it: 24 bytes."""
    drawn = hmac.new(key, f"webhook {webhook_id}".encode(), hashlib.sha256).digest()
    return PREFIX + base64.b64encode(drawn[:24]).decode()


def secret_of(key: bytes, webhook_id: str, kept: str) -> str:
    """The secret of a webhook whose row keeps that. Raises OtherKey."""
    if not kept.startswith(DERIVED):
        return kept
    if not hmac.compare_digest(kept, mark(key)):
        raise OtherKey
    return derived(key, webhook_id)
