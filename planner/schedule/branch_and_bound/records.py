"""What the branching reads and writes."""

from typing import NamedTuple

from planner.schedule.instance import Floats, Ints


class BenchHours(NamedTuple):
    """Of both benches, assembly and packing: H stretches with people."""

    hours: Floats  # (2, H, 3) opens, closes, people
    worked: Floats  # (2, H + 2) how many stretches; person-seconds before each of them, and in all


class Rest(NamedTuple):
    """The least it takes to place what is left: S sets of lots x L last runs on the presses, C kinds of lots."""

    rest: Floats  # the table, for some presses from some place on
    totals: Ints  # (C) lots of each kind
    strides: Ints  # (C) what one of them counts in a set's number
    last: Ints  # (L, P) last run of each press
    into: Floats  # (P, last, C) a lot's work and entry
    target: Ints  # (P, C) the last run it leaves, -1 where it does not fit
    widths: Ints  # (P) what a step of the press's last run counts in L, 0 where the press takes no more


class Branching(NamedTuple):
    """Made by `Tables`."""

    # where the branching stands: see path_state.py
    marks: Ints
    amounts: Floats
    stack: Ints
    # the workshop as it stood at each depth
    kept_ints: Ints
    kept_floats: Floats
    # kinds of lots (see Kinds), and at each depth the last run of each press, lots left, shots made, runs a press has
    # had
    kinds: Ints
    kind_lots: Ints
    kind_fits: Ints
    pinned: Ints
    last_of: Ints
    last: Ints
    offsets: Ints
    strides: Ints
    left: Ints
    made: Ints
    mask: Ints
    clashing: Ints
    # at each depth the pick-up each batch can leave with at best
    sent: Ints
    # the cheapest rest of every set, what a lot takes after another, what a path has cost, warm-ups by the second
    rest: Floats
    into: Floats
    base: Floats
    warm: Floats
    # kg of bought materials in a lot of each kind, and what is still to be made at each depth
    lot_kg: Floats
    unmade_kg: Floats
    bought: Ints
    # by when shots must be done: see Needs
    need_ptr: Ints
    needs: Ints
    latest: Ints
    own_ptr: Ints
    own: Ints
    penalty: Floats
    # seconds a press can have worked until such a moment, before each stretch, and when a run can begin; entry into a
    # run; a shot; least and largest lot
    until: Floats
    gained: Floats
    least_s: Floats
    a_shot: Floats
    sizes: Ints
    ready: Floats
    scratch: Floats
    # what batches share: see Tables._shared
    weight: Floats
    order: Ints
    room: Floats
    hours: BenchHours
    standing: Floats
    asked: Floats
    until_run: Floats
    lasts: Ints
    shots_by: Floats
    begins: Floats
    by: Floats
    # see lagrangian.py and capacity_bounds.py
    tight: Floats
    worths: Floats
    shares: Floats
