"""Lists by pages, newest first: where a page ended, as text the client hands back."""

import base64
import binascii
import json
import math
from collections.abc import Sequence
from typing import Annotated, Protocol, TypeVar
from urllib.parse import urlencode

from fastapi import Depends, Query

from api.service.refusals import BadRequest


class Listed(Protocol):
    """A row that has its place in a list."""

    @property
    def id(self) -> str: ...
    @property
    def created_at(self) -> float: ...


Row = TypeVar("Row", bound=Listed)


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


class PageRequest:
    """Which page is asked for; a dependency of its route."""

    def __init__(
        self,
        limit: Annotated[int, Query(ge=1, le=200)] = 50,
        cursor: Annotated[str | None, Query(max_length=200, description="`next` of the page before")] = None,
    ) -> None:
        self.limit = limit
        self.before = read_cursor(cursor) if cursor else None
        """(created_at, id) of the last row already seen."""
        self.wanted = limit + 1
        """Rows to look for: one more than are shown tells whether there are more."""

    def shown(self, rows: Sequence[Row], address: str, **filters: str | None) -> tuple[Sequence[Row], str | None]:
        """The page's rows, and the address of the next page. filters: what else the list was asked with."""
        if len(rows) < self.wanted:
            return rows, None
        last = rows[self.limit - 1]
        asked = {"limit": self.limit, **filters, "cursor": write_cursor(last.created_at, last.id)}
        return rows[: self.limit], f"{address}?" + urlencode({name: v for name, v in asked.items() if v is not None})


PageAsked = Annotated[PageRequest, Depends()]
