"""What a page says of a draft that is kept."""

import pytest

from api.pages.drafting import kept_at
from worker.records.drafts import DraftRow


@pytest.mark.parametrize(("ago", "says"), [(59.0, "Kept just now by Ana."), (60.0, "Kept 1 min ago by Ana.")])
def test_from_a_minute_on_it_is_said_how_long_ago(ago: float, says: str) -> None:
    assert kept_at(DraftRow("d", None, {}, 1, 1000.0, "Ana"), 1000.0 + ago).replace("\u202f", " ") == says
