"""What is asked for of a material when a run starts, by hand."""

from datetime import datetime

from planner.material.terms import WeightUse


def test_what_must_be_there_at_the_start_is_all_but_what_comes_later():
    """8 kg of parts, 0.5 of start-up shots, 1.25 purged; restarts and closings take 0.25 and 0.125 as it goes on."""
    use = WeightUse("r1", datetime(2027, 1, 11, 6), 8.0, 0.5, 1.25, 0.25, 0.125)
    assert use.kg == 9.75
    assert use.later_kg == 0.375
