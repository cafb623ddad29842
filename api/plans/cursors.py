"""Where a page of plans ended, as text the client hands back."""

import base64
import binascii
import json
import math

from api.problems import BadRequest


def write_cursor(created_at: float, plan_id: str) -> str:
    """Opaque to clients, safe in an address."""
    return base64.urlsafe_b64encode(json.dumps([created_at, plan_id]).encode()).decode().rstrip("=")


def read_cursor(text: str) -> tuple[float, str]:
    """The (created_at, id) in it; raises BadRequest if it is none of ours."""
    try:
        created_at, plan_id = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
        if not (isinstance(created_at, float) and math.isfinite(created_at)):
            raise ValueError
        if not (isinstance(plan_id, str) and plan_id.isalnum() and plan_id.isascii()):
            raise ValueError
    except (ValueError, TypeError, binascii.Error, RecursionError):
        raise BadRequest("`cursor` is none of ours; take it from `next` of the page before.") from None
    return created_at, plan_id
