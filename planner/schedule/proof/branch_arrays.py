"""What the branching reads and writes, in the order in which its compiled part takes it.

Why apart: 62 arrays in a row are easily mixed up where they are only told apart by their place.
"""

from typing import NamedTuple

from planner.schedule.instance import Floats, Ints


class Branching(NamedTuple):
    """Read by `branching.branch`, written in place; made by `Ground`."""

    # the campaign, and where the branching stands: see branch_state.py
    ints: Ints
    floats: Floats
    marks: Ints
    amounts: Floats
    stack: Ints
    # the workshop as it stands, a Timing's tables, and as it stood at each depth
    presses: Ints
    tools: Ints
    setters: Ints
    used: Floats
    totals: Floats
    lots: Ints
    pieces: Ints
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
    # what batches share: see Ground._crowds
    weight: Floats
    order: Ints
    room: Floats
    bench: Floats
    hours: Floats
    standing: Floats
    asked: Floats
    until_run: Floats
    lasts: Ints
    shots_by: Floats
    begins: Floats
    by: Floats
    # see branch_prices.py and branch_crowds.py
    tight: Floats
    worths: Floats
    shares: Floats
