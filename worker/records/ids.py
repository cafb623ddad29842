"""Names for rows: random, so that nobody can count or guess another workshop's."""

import secrets

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"  # Crockford's base 32: no i, l, o, u to misread
LENGTH = 26
PATTERN = f"^[{_ALPHABET}]{{{LENGTH}}}$"


def new_id() -> str:
    """26 characters, 130 random bits."""
    # Asked for at once: each question to the system lets another thread go first, and there would be one a character.
    bits = secrets.randbits(5 * LENGTH)
    return "".join(_ALPHABET[bits >> 5 * n & 31] for n in range(LENGTH))
