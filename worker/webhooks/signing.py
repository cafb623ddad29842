"""Signatures by the Standard Webhooks specification 1.0: HMAC-SHA256 over id, time and body."""

import base64
import hashlib
import hmac

PREFIX = "whsec_"
"""The specification's own, so that any receiver's library takes the secret as it is."""


def headers(secret: str, message_id: str, at: int, body: str) -> dict[str, str]:
    """webhook-id, webhook-timestamp and webhook-signature. at: whole seconds since 1970."""
    key = base64.b64decode(secret.removeprefix(PREFIX))
    signed = hmac.new(key, f"{message_id}.{at}.{body}".encode(), hashlib.sha256).digest()
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(at),
        "webhook-signature": "v1," + base64.b64encode(signed).decode(),
    }
