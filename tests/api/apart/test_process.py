"""Work in a process of its own: answered, refused, ended; never more of it at a time than there are places."""

import os
import time
from contextvars import copy_context

import pytest

from api.apart.process import Allowance, Busy, Ended, Places, call
from api.apart.whose import whose
from planner.dispatch import countries

PLACES = Places(most=2, waiting=0, patience=0.0)
ENOUGH = Allowance(seconds=30, longest=60.0, memory_bytes=2**30)


def test_the_answer_comes_from_another_process() -> None:
    assert call(PLACES, ENOUGH, divmod, 7, 2) == (3, 1)
    assert call(PLACES, ENOUGH, os.getpid) != os.getpid()


def test_what_the_work_raises_is_raised_here() -> None:
    with pytest.raises(ValueError, match="invalid literal"):
        call(PLACES, ENOUGH, int, "seven")


def test_work_without_end_is_ended_by_the_processor_time_it_took() -> None:
    """Some seconds of work: were it not ended, its answer would come."""
    with pytest.raises(Ended) as ended:
        call(PLACES, Allowance(1, 600.0, 2**30), sum, range(2 * 10**8))
    assert ended.value.by == "time"


def test_work_that_only_waits_is_ended_by_the_clock() -> None:
    with pytest.raises(Ended) as ended:
        call(PLACES, Allowance(30, 0.2, 2**30), time.sleep, 30)
    assert ended.value.by == "time"


def test_memory_beyond_the_allowance_is_refused() -> None:
    with pytest.raises(Ended) as ended:
        call(PLACES, Allowance(30, 60.0, 2**26), bytes, 2**32)
    assert ended.value.by == "memory"


def test_a_process_that_dies_is_told_from_one_that_took_too_long() -> None:
    with pytest.raises(Ended) as ended:
        call(PLACES, ENOUGH, os._exit, 3)
    assert ended.value.by == "death"


def test_beyond_the_places_a_caller_is_sent_away() -> None:
    places = Places(most=1, waiting=0, patience=0.0)
    with places.one(), pytest.raises(Busy):
        call(places, ENOUGH, os.getpid)
    assert call(places, ENOUGH, divmod, 7, 2) == (3, 1), "the place is free again"


def test_one_workshop_leaves_a_place_and_room_to_wait_for_others() -> None:
    """It works on one table and its next ones wait or are sent away; another's is worked on at once."""
    places = Places(most=2, waiting=2, patience=0.05)
    with places.one("willow"):
        with pytest.raises(Busy), places.one("willow"):
            pass
        with places.one("alder"):
            pass


def test_a_table_is_read_in_the_place_of_the_workshop_that_sent_it() -> None:
    """While one workshop's is worked on, its second is refused and another workshop's is not."""
    places = Places(most=2, waiting=0, patience=0.0)
    context = copy_context()
    context.run(whose.set, "willow")
    with places.one("willow"):
        with pytest.raises(Busy):
            context.run(call, places, ENOUGH, os.getpid)
        assert call(places, ENOUGH, divmod, 7, 2) == (3, 1)


def test_what_reading_tables_needs_is_put_together_before() -> None:
    """Each table took a fifth of a second of processor time for the countries' names in all languages."""
    assert call(PLACES, ENOUGH, _country_names_there) == 1


def _country_names_there() -> int:
    return countries._by_key.cache_info().currsize
