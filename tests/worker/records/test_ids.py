import re
from collections import defaultdict

from worker.records.ids import LENGTH, PATTERN, new_id


def test_every_place_of_an_id_takes_every_character():
    """All 130 bits are drawn: of 2,000 ids a place lacks one of 32 characters once in 10^26 (32 x (31/32)^2000)."""
    seen = defaultdict(set)
    ids = {new_id() for _ in range(2_000)}
    assert len(ids) == 2_000
    for one in ids:
        assert re.fullmatch(PATTERN, one)
        for place, character in enumerate(one):
            seen[place].add(character)
    assert {place: len(characters) for place, characters in seen.items()} == dict.fromkeys(range(LENGTH), 32)
