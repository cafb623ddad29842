"""Campaigns that go along with the package, all invented: the demo, a starter to write over, ordinary situations.

examples/herb_planter.py writes the demo, examples/situations.py the pages about the situations.
"""

import json
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
DEMO = HERE / "herb-planter.json"
SITUATIONS = HERE / "situations"
OF_THEIR_DAYS = ("clock-change",)
_DAY = re.compile(r"\b\d{4}-\d\d-\d\d")


@dataclass(frozen=True)
class Example:
    """A campaign to start from. name: in addresses."""

    name: str
    path: Path

    @cached_property
    def document(self) -> dict[str, Any]:
        """The campaign document."""
        read: dict[str, Any] = json.loads(self.path.read_text(encoding="utf-8"))
        return read

    def beginning(self, today: date) -> dict[str, Any]:
        """The document brought to now: it begins on the next Monday, all its days as long after that as they were.
        Where it is about days of the calendar, they stay."""
        if self.name in OF_THEIR_DAYS:
            return self.document
        begins = date.fromisoformat(self.document["start"][:10])
        later = today + timedelta(days=7 - today.weekday()) - begins
        moved: dict[str, Any] = json.loads(
            _DAY.sub(lambda day: (date.fromisoformat(day[0]) + later).isoformat(), json.dumps(self.document))
        )
        return moved

    @property
    def title(self) -> str:
        """What the campaign is called."""
        return str(self.document["name"])


EXAMPLES = {path.stem: Example(path.stem, path) for path in (HERE / "starter.json", *sorted(SITUATIONS.glob("*.json")))}
"""By name; the demo is not among them, since it is planned as it is."""
