"""A thousand spoiled files: an answer each time, no crash, no good row lost."""

import pytest
from order_table import read, refs
from spoiled_files import KINDS

from api.uploads.limits import UnreadableFile
from api.uploads.mapping import MappingProblem

SEEDS = range(100)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_an_answer_each_time_and_no_good_row_lost(kind) -> None:
    """Either rows with every one accounted for, or one clear refusal; rows nothing was done to are always taken."""
    for seed in SEEDS:
        spoiled = kind(seed)
        try:
            got = read(spoiled.data)  # checks rows in = taken + set aside
        except (UnreadableFile, MappingProblem) as refused:
            assert spoiled.untouched is None, (seed, refused)
            assert str(refused)
            continue
        taken = refs(got)
        assert len(taken) == len(set(taken))
        if spoiled.untouched is not None:
            assert spoiled.untouched <= set(taken), (seed, sorted(spoiled.untouched - set(taken)))
