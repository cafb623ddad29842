"""Cost lines are read in every language: a new one has its words there before it is shown."""

from typing import get_args

import pytest

from api import languages
from planner.plan.document import CostName


@pytest.mark.parametrize("language", sorted(set(languages.LANGUAGES) - {"en"}))
def test_every_cost_line_has_its_words(language):
    known = languages.catalogue(language, "sentence")
    assert [name for name in get_args(CostName) if not known.get(name)] == []
