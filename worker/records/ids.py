"""Names for rows: random, so that nobody can count or guess another workshop's."""

import secrets
from base64 import b32encode

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"  # Crockford's base 32: no i, l, o, u to misread
_OURS = bytes.maketrans(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567", _ALPHABET.encode())
LENGTH = 26
PATTERN = f"^[{_ALPHABET}]{{{LENGTH}}}$"


def new_id() -> str:
    """26 characters, 130 random bits."""
    # Asked for at once: each question to the system lets another thread go first, and there would be one a character.
    return b32encode(secrets.token_bytes(-(-5 * LENGTH // 8)))[:LENGTH].translate(_OURS).decode()
