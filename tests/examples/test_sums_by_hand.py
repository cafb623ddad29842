"""Five situations added up by hand: seconds, kilograms, money and days, each sum beside what it is of.

What a purge takes in kilograms is estimated, and checked where estimates are (tests/planner/purge): here it is given,
1.182 kg from cream to sage, 2.419 kg from sage to cream, four hold-ups of 0.5 kg where only the resin changes. How long
it takes is by hand: half of 63.0 kg of polystyrene an hour (100 x 0.5 ^ 2/3), by the melts' densities, 0.945 of PS,
0.94 of ABS and 0.74 of PP; from ABS at 240.5 to PP at 232 degrees the barrel cools for 8.5 / 3 minutes (RULES.md, R11).
"""

from datetime import datetime, timedelta
from math import ceil

import pytest

from examples.situations import plan_of

PP, ABS, TPE = 0.98 * 2 + 0.02 * 10, 0.98 * 3 + 0.02 * 10, 0.98 * 4 + 0.02 * 10
"""Money for a kg of melt: two in a hundred of it masterbatch at 10."""
TO_SAGE, TO_CREAM, TO_PP = 1.182, 2.419, 4 * 0.5
WARM, MOUNT, COOL = 15 * 60, 30 * 60, 170
PARCELS = 100
"""Packed in one go."""


def purging(kg, density):
    """Whole seconds for so many kg."""
    return ceil(kg * 3600 / (0.5 * 63.0 * density / 0.945))


def at(day, clock, seconds=0.0):
    """A moment of January 2027."""
    hour, minute = map(int, clock.split(":"))
    return datetime(2027, 1, day, hour, minute) + timedelta(seconds=seconds)


def told(plan, *kinds):
    """Money by line; each that is not named is none."""
    lines = {line.what: line.amount for line in plan.costs if line.amount}
    assert set(lines) == set(kinds)
    assert sum(lines.values()) == pytest.approx(plan.outcome.total, abs=0.01)
    assert plan.outcome.status == "optimal"
    return [lines[kind] for kind in kinds]


FOUR = ("press hours", "moulded material", "purge material", "start-up material")


def ends(plan):
    """When each run is done, by the wall clock."""
    return [run.end.replace(tzinfo=None) for run in sorted(plan.runs, key=lambda run: run.start)]


def sent(plan):
    """Parcels by day of January."""
    return {one.at.day: one.parcels for one in plan.dispatches}


def packed(first, minutes, parcels, people=1):
    """When the last of so many parcels is packed, from 8 to 16 from Monday the 11th on; first: when it begins."""
    left, day, now = timedelta(minutes=minutes * parcels / people), 11, first
    while now + left > at(day, "16:00"):
        left -= at(day, "16:00") - now
        day += 1 if day != 15 else 3
        now = at(day, "08:00")
    return now + left


def test_a_barrel_that_changes_and_one_that_does_not():
    """600 and 400 pots, two a shot of 30 s; 50 g of PP and 8 g of TPE each. Only the first barrel is purged."""
    plan = plan_of("two-shots-one-barrel-changes")
    set_up, change = WARM + MOUNT + 5 * 30, purging(TO_SAGE, 0.74) + 5 * 30
    seconds = set_up + 300 * 30 + change + 200 * 30
    assert (set_up, change, seconds) == (2850, 323, 18_173)
    assert told(plan, *FOUR) == pytest.approx(
        [
            seconds * 40 / 3600,  # 201.92
            500 * 0.1 * PP + 500 * 0.016 * TPE,  # 50 kg at 2.16 and 8 kg at 4.12: 140.96
            TO_SAGE * PP,  # 2.55
            10 * 0.1 * PP + 10 * 0.016 * TPE,  # ten shots: 2.82
        ]
    )
    assert {line.id: line.purge_kg for line in plan.materials if line.kind == "resin"} == pytest.approx(
        {"pp": 0.98 * TO_SAGE, "tpe": 0}
    )
    assert ends(plan) == [at(11, "06:00", 2850 + 9000), at(11, "06:00", seconds)]
    # 100 pots are assembled from 8:00 to 9:40; 2,000 minutes of packing from then on end on Friday at 11:00
    assert packed(at(11, "09:40"), 2, 1000) == at(15, "11:00")
    assert sent(plan) == {15: 1000}


def test_early_birds_cost_a_purge_and_save_a_day():
    """Sage first: 1.237 kg more of melt and 181 s of press, 4.68 in all; cream first would keep 200 early birds, at
    2.00 a day each, until Tuesday: it takes until 19:17:30."""
    plan = plan_of("early-birds-first")
    set_up, change = 2850, purging(TO_CREAM, 0.74) + 5 * 30
    seconds = set_up + 200 * 30 + change + 1500 * 30
    assert (change, seconds) == (504, 54_354)
    assert told(plan, *FOUR) == pytest.approx(
        [
            seconds * 40 / 3600,  # 603.93
            1700 * 0.1 * PP,  # 170 kg: 367.20
            TO_CREAM * PP,  # 5.23
            10 * 0.1 * PP,  # 2.16
        ]
    )
    assert ends(plan) == [at(11, "06:00", 2850 + 6000), at(11, "06:00", seconds)]
    dearer = (TO_CREAM - TO_SAGE) * PP + (purging(TO_CREAM, 0.74) - purging(TO_SAGE, 0.74)) * 40 / 3600
    assert dearer == pytest.approx(4.68, abs=0.01)
    assert at(11, "06:00", 2850 + 1500 * 30) == at(11, "19:17", 30) > at(11, "16:00")
    # four assemble a hundred in 25 minutes, six pack them in 33:20: 13 batches by 16:00 on Monday, 15 on Tuesday
    begin = at(11, "08:25")
    by = [sum(packed(begin, 2, PARCELS * n, 6) <= at(day, "16:00") for n in range(1, 35)) for day in (11, 12, 13)]
    assert by == [13, 28, 34]
    assert sent(plan) == {11: 1300, 12: 1500, 13: 600}
    gone = {tier.tier: tier.last_dispatch.day for tier in plan.tiers}
    assert gone == {"early-bird": 11, "one": 13}


def test_each_resins_colours_follow_each_other():
    """1,000 pots with three feet of ABS each, four a shot of 25 s: 450 and 300 shots; 300 and 200 of pots. Between them
    the tool changes, the barrel cools from ABS to PP, and sage becomes cream."""
    plan = plan_of("one-colour-in-two-resins")
    feet = WARM + MOUNT + 5 * 25 + 450 * 25 + purging(TO_SAGE, 0.94) + 5 * 25 + 300 * 25
    between = MOUNT + COOL + purging(TO_CREAM, 0.74) + 5 * 30
    pots = 300 * 30 + 323 + 200 * 30
    assert (purging(TO_SAGE, 0.94), between, feet + between + pots) == (136, 2474, 39_633)
    assert told(plan, *FOUR) == pytest.approx(
        [
            39_633 * 40 / 3600,  # 440.37
            750 * 0.04 * ABS + 500 * 0.1 * PP,  # 30 kg at 3.14 and 50 at 2.16: 202.20
            TO_SAGE * ABS + (TO_CREAM + TO_SAGE) * PP,  # 3.71 and 7.78
            10 * 0.04 * ABS + 10 * 0.1 * PP,  # 3.42
        ]
    )
    assert ends(plan)[-1] == at(11, "06:00", 39_633) == at(11, "17:00", 33)
    # the hundredth pot is moulded 50 shots after 12:45:10; assembled by 14:50:10, packed 100 in 200 minutes
    begin = at(11, "06:00", feet + between + 50 * 30 + 100 * 60)
    assert begin == at(11, "14:50", 10)
    assert [packed(begin, 2, 900) <= at(15, "16:00"), packed(begin, 2, 1000) <= at(15, "16:00")] == [True, False]
    assert sent(plan) == {15: 900, 22: 100}


def test_lights_out_for_four_hours_a_day():
    """People are in from 6 to 14, the press goes on until 18:00. On Monday 40,350 s are left after setting up, 1,345
    shots; on Tuesday 42,150 after warming up and five shots, 1,405; on Wednesday the other 250, then sage."""
    plan = plan_of("lights-out")
    cold = WARM + 5 * 30
    shots = [(12 * 3600 - 2850) // 30, (12 * 3600 - cold) // 30]
    assert [*shots, 3000 - sum(shots)] == [1345, 1405, 250]
    cream = min(plan.runs, key=lambda run: run.start)
    assert [one.shots for one in cream.stretches] == [1345, 1405, 250]
    wednesday = cold + 250 * 30 + 323 + 200 * 30
    assert ends(plan) == [at(13, "06:00", cold + 7500), at(13, "06:00", wednesday)]
    assert told(plan, *FOUR) == pytest.approx(
        [
            (2 * 12 * 3600 + wednesday) * 40 / 3600,  # 1,125.26
            3200 * 0.1 * PP,  # 320 kg: 691.20
            TO_SAGE * PP,  # 2.55
            4 * 5 * 0.1 * PP,  # two set-ups and two cold starts: 4.32
        ]
    )
    # eight pack a hundred in 25 minutes from 8:25 on: 64 batches until Thursday at 11:05
    assert packed(at(11, "08:25"), 2, 6400, 8) == at(14, "11:05")
    assert sent(plan) == {15: 6400}


def test_one_tool_in_two_resins():
    """150 shots of tough pots, then 300 and 200 in PP: mounted once, since the tool stays. Four
    hold-ups of PP push the ABS out once the barrel has cooled."""
    plan = plan_of("one-tool-in-two-resins")
    to_pp = COOL + purging(TO_PP, 0.74) + 5 * 30
    seconds = 2850 + 150 * 30 + to_pp + 300 * 30 + 323 + 200 * 30
    assert (to_pp, seconds) == (612, 23_285)
    assert told(plan, *FOUR) == pytest.approx(
        [
            seconds * 40 / 3600,  # 258.72
            150 * 0.11 * ABS + 500 * 0.1 * PP,  # 16.5 kg at 3.14 and 50 at 2.16: 159.81
            (TO_PP + TO_SAGE) * PP,  # 6.87
            5 * 0.11 * ABS + 10 * 0.1 * PP,  # 3.89
        ]
    )
    assert ends(plan)[-1] == at(11, "06:00", seconds)
    assert [run.changeover.mount_seconds for run in sorted(plan.runs, key=lambda run: run.start)] == [MOUNT, 0, 0]
    assert [n * PARCELS for n in (3, 11, 13) if packed(at(11, "09:40"), 2, n * PARCELS) <= at(15, "16:00")] == [
        300,
        1100,
    ]
    assert sent(plan) == {15: 1100, 22: 200}
