"""Names for rows: random, so that nobody can count or guess another workshop's."""

import secrets

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"  # Crockford's base 32: no i, l, o, u to misread
LENGTH = 26
PATTERN = f"^[{_ALPHABET}]{{{LENGTH}}}$"


def new_id() -> str:
    """26 characters, 130 random bits."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(LENGTH))
