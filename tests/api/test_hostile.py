"""Documents and files nobody means well by: an answer each time, never a fault, and memory stays what it was."""

import pytest

from tests.api.plan_fixtures import publish_pots
from tests.hostile import assault
from tests.hostile_files import assault_with_files


@pytest.mark.slow
def test_hostile_documents_get_an_answer(app):
    """400, 413 or 422 with a problem document, or 202 where the damage did no harm; ten thousand: benchmarks."""
    outcome = assault(app.client, documents=150, seed=20270111, plan=publish_pots(app.service))
    assert outcome.grown < 30 * 2**20, f"grew by {outcome.grown / 2**20:.1f} MiB"
    assert outcome.seen[422] > 75
    assert outcome.seen[400] > 7


@pytest.mark.slow
def test_hostile_files_get_an_answer(app):
    """Small ones; of those that would take minutes or gigabytes one, since each is let work for a while."""
    outcome = assault_with_files(app.client, files=20, seed=20270111, plan=publish_pots(app.service))
    assert outcome.seen[422] >= 5
    assert outcome.seen[200] >= 2
