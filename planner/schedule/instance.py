"""A campaign compiled to arrays: all the search and the evaluator know of it.

Everything is an index or a whole second; ids and dates live in `compile.Names`. Published instances are read into the
same arrays, so they go through the same engine. Sizes: P presses, T tools, R run demands, J lots, M melts, K materials,
B pack batches, A assembly jobs, G goods (moulded items first, then bought-in pieces).
"""

import hashlib
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.schedule.packed import pack, tidied

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

NEVER = 2**60
"""A moment that never comes, in seconds."""

NO_FLOATS = np.zeros((0, 0, 0, 0))
NO_INTS, NO_BOOLS = NO_FLOATS.astype(np.int64), NO_FLOATS.astype(np.bool_)
NO_MOMENTS = np.zeros(0, dtype=np.int64)
NO_GRID = np.zeros((0, 0))
NO_PAIRS, NO_LINE, NO_TABLE = np.zeros((0, 0), dtype=np.int64), np.zeros(0), np.zeros((0, 0, 0))
ANYWHERE = 2
"""Value of `several` where tools may work at several places."""

NONE = np.zeros(0, dtype=np.int64)
NO_BOOL_PAIRS, NO_BOOL_TABLE = NO_PAIRS.astype(np.bool_), NO_TABLE.astype(np.bool_)


class Instance(NamedTuple):
    """See the module's docstring for the size letters. Times in s, masses in kg, money in the campaign's currency."""

    # presses: open stretches, flattened; those of press p are open_ptr[p] .. open_ptr[p + 1]
    open_ptr: Ints
    open_start: Ints
    open_end: Ints
    restart_s: Ints  # (P)
    press_cost_s: Floats  # (P) money per working second
    press_tool: Ints  # (P) tool mounted at the start, -1 none
    press_melt: Ints  # (P, 2) melt in each barrel at the start, -1 clean
    pinned: Ints  # (P) how many lots at the head of each press are fixed by the maker

    # run demands and their lots
    run_tool: Ints  # (R)
    run_melt: Ints  # (R, 2), -1 barrel not used
    run_shots: Ints  # (R) all lots together
    fits: Bools  # (P, R)
    clash: Bools  # (R, R) resins that must never share a press
    shot_num: Ints  # (P, R) shot time as a fraction: n shots take ceil(n * num / den)
    shot_den: Ints
    startup_shots: Ints  # (R)
    startup_s: Ints  # (P, R)
    shot_kg: Floats  # (R, 2) melt per shot and barrel
    lot_run: Ints  # (J)
    lot_shots: Ints  # (J)

    # changeovers
    setters: int
    setter_cost_s: Floats  # (P) of whoever sets that press up
    mount_s: Ints  # (T)
    tool_ready: Ints  # (T)
    purge_s: Ints  # (P, 2, R, M) seconds to purge melt m out of barrel b before run r
    purge_kg: Floats  # (P, 2, M, M) kg from melt to melt in the barrel
    hot_s: Ints  # (P, 2, R, M) the same for the hot runner of the run's tool
    hot_kg: Floats  # (T, 2, M, M)
    hot_runner: Bools  # (T, 2) whether the tool holds melt there
    waste_cost_kg: Floats  # (M) money per kg of start-up or purge waste: material and disposal

    # materials: a melt is resin_share of one material and the rest of another (-1: none)
    melt_light: Floats  # (M) how light its colour is
    melt_resin: Ints  # (M) index into materials
    melt_master: Ints  # (M)
    melt_master_share: Floats  # (M)
    supply_ptr: Ints  # (K + 1)
    supply_t: Ints  # moment each further supply is dried and ready
    supply_kg: Floats  # supply from that moment on, in all; inf once more can be bought
    material_have: Floats  # (K) stock and arrivals, before buying
    material_regrind: Floats  # (K) kg of regrind that comes off what is used
    bag_kg: Floats  # (K)
    min_order_kg: Floats  # (K)
    material_price: Floats  # (K)

    # goods
    good_run: Ints  # (G) the run demand that moulds it, -1 for a bought-in piece
    good_stock: Ints  # (G) moulded parts in hand
    good_need: Ints  # (G) Q: parts to be moulded
    good_count_shots: Ints  # (G) N_i: shots counted on for Q
    good_rest_s: Ints  # (G)
    piece_ptr: Ints  # (G + 1) supply steps of bought-in pieces
    piece_t: Ints
    piece_count: Ints  # in all from that moment on

    # benches: stretches with people
    asm_start: Ints
    asm_end: Ints
    asm_people: Ints
    pack_start: Ints
    pack_end: Ints
    pack_people: Ints

    # assembly jobs, flattened by batch: those of batch b are job_ptr[b] .. job_ptr[b + 1]
    job_ptr: Ints  # (B + 1)
    job_work: Ints  # (A) person-seconds
    job_need_ptr: Ints  # (A + 1)
    job_good: Ints
    job_qty: Ints

    # pack batches
    batch_work: Ints  # (B) person-seconds
    batch_parcels: Ints  # (B)
    batch_due: Ints  # (B) day number by which it should have left
    batch_late_cost: Floats  # (B) money per day late, all its parcels
    batch_weight: Floats  # (B) parcels by priority, for ties and for `soonest`
    batch_need_ptr: Ints  # (B + 1)
    batch_good: Ints
    batch_qty: Ints

    # pick-ups
    pickup_t: Ints
    pickup_day: Ints
    pickup_parcels: int

    # money that no order of work changes, and the aim: weights of cost, of the last dispatch (days), of the mean
    # dispatch (days), and of waste (kg)
    fixed_cost: float
    aim_cost: float
    aim_last: float
    aim_mean: float
    aim_waste: float

    # purging with a compound, where it is preferred to melt alone and there when press and tool are free; its kg are 0
    # where it is not preferred. Only read where there is one.
    compound: int = -1  # index into materials, -1: none is planned
    compound_cost_kg: float = 0.0  # money per kg: material and disposal
    compound_kg: Floats = NO_FLOATS  # (P, 2, M, M) kg of compound from melt to melt in the barrel
    compound_rinse_kg: Floats = NO_FLOATS  # (P, 2, M, M) kg of new melt that rinses it out
    compound_s: Ints = NO_INTS  # (P, 2, R, M) seconds, soaking included
    compound_only: Bools = NO_BOOLS  # (P, 2, M, M) rather waits for the compound than purge with melt
    hot_compound_kg: Floats = NO_FLOATS  # (T, 2, M, M) the same for hot runners
    hot_rinse_kg: Floats = NO_FLOATS
    hot_compound_s: Ints = NO_INTS  # (P, 2, R, M)
    hot_only: Bools = NO_BOOLS

    # resins that need a third one between them: it clears the barrel while that heats or cools. What it takes stands in
    # the compound's arrays of barrels, in the compound's place.
    bridging: int = 0  # 1: there are such pairs
    bridge: Ints = NO_PAIRS  # (M, M) index into materials of the resin that goes between; -1: none does
    clearing_cost_kg: Floats = NO_LINE  # (K) money per kg to clear a barrel with a material, disposal included

    # melts that must not stand, cleared at the end of each run and before each closing with a resin that may
    clearing: int = 0  # 1: there are such melts
    left_melt: Ints = NO_PAIRS  # (R, 2) what a run leaves in barrel and hot runner; its own melt where that may stand
    closing_s: Ints = NO_PAIRS  # (P, R) seconds that clearing takes
    closing_kg: Floats = NO_TABLE  # (P, R, 2) kg of what is left behind
    opening_s: Ints = NO_PAIRS  # (P, R) seconds to purge that out again where the run goes on at the next opening
    opening_kg: Floats = NO_TABLE  # (P, R, 2) kg of the run's melt

    # hours of people
    hands_end: Ints = NO_MOMENTS  # until when somebody is there in each open stretch, from its start; empty: to its end

    # others' work on presses: by open stretch, which stretch of that press comes after their last work before it
    # (itself, an earlier one; -1: they have not worked there yet), and what they left in its barrels by then
    sharing: int = 0  # 1: there is any
    since_others: Ints = NO_MOMENTS
    others_left: Ints = NO_PAIRS  # (stretches, 2) melts
    broken_off: int = 0  # lots that their work may break off, at the most

    # what tools hold in their hot runners at the start, -1: nothing
    tool_melt: Ints = NO_PAIRS  # (T, 2), or empty: nothing

    # tools of one base: changeable inserts in one bolster, of which one can be in a press at a time
    tool_base: Ints = NONE  # (T) the first tool of its base; itself where it has none; empty: none has
    insert_s: Ints = NONE  # (T) to put it in where another insert of its base is in the press

    # what a moulder charges beside the hour
    charging: int = 0  # 1: anything of it
    changeover_charge: Floats = NO_TABLE  # (P, 2, 2) each changeover: whether it purges anything, whether it mounts
    shift_s: Ints = NONE  # (P) length of a shift, from the opening of its stretch on
    shift_charge: Floats = NO_LINE  # (P) each shift in which anything is worked
    shot_charge: Floats = NO_GRID  # (P, R) each shot; the least over the presses stands in fixed_cost
    shot_charge_least: Floats = NO_LINE  # (R) that least
    least_bill: Floats = NO_LINE  # (P) least that a run with all before its next changeover comes to

    # wishes of the maker
    wishing: int = 0  # 1: any that moments or orders of runs keep
    wish_cost: float = 0.0  # objective for each thing that breaks one
    run_from: Ints = NONE  # (R) moment before which no lot begins
    run_until: Ints = NONE  # (R) moment by which all lots are done
    run_after: Bools = NO_BOOL_PAIRS  # (R, R) [a, b]: a begins when all of b is done
    run_ahead: Bools = NO_BOOL_TABLE  # (P, R, R) [p, a, b]: on press p a goes before b
    together: Bools = NO_BOOL_PAIRS  # (wishes, R) runs that stand on one press with no other between

    # dryers that are looked after: those of which it is said how much they hold, and those that several resins share
    dryers: int = 0  # D
    run_dryer: Ints = NO_PAIRS  # (R, 2) the dryer of the resin in each barrel, -1 none
    dryer_holds: Floats = NO_GRID  # (R, 2) kg of it that the dryer holds, inf where nobody says
    dry_s: Ints = NO_PAIRS  # (R, 2) seconds of drying
    dry_window_s: Ints = NO_PAIRS  # (R, 2) most seconds of work in which no more may be drawn than the dryer holds
    draw_kg_s: Floats = NO_TABLE  # (P, R, 2) kg of resin a second
    draw_startups_kg: Floats = NO_TABLE  # (P, R, 2) kg in the start-up shots of a changeover, and restarts as below
    draw_again_kg: Floats = NO_TABLE  # (P, R, 2) kg that restarts purge, in as many openings as such a time can have
    dryer_clean_s: int = 0
    dryer_clean_cost: float = 0.0  # money each time
    there_start: Ints = NO_MOMENTS  # when somebody is there to load dryers, from a moment to a last one; empty: always
    there_last: Ints = NO_MOMENTS

    # waits on purpose, decided by the search: no lot begins before
    lot_release: Ints = NONE  # (J), or empty: none waits

    # (R) shots of the smallest lot a demand may be cut into, 0: it stays whole; empty: all stay as they are
    run_smallest: Ints = NONE

    # (J) when each lot begins as planned, where a press whose next tool is late takes the next run that is ready;
    # empty: presses keep their order
    likely_begin: Ints = NONE

    # what people were told, where going back on it has a price, money beside what the plan costs
    announced: int = 0  # 1: there is any
    moving_run: float = 0.0  # for each lot on another press, or behind another lot
    moving_day: float = 0.0  # for each day that the last batch of a tier leaves later
    announced_place: Ints = NO_PAIRS  # (J, 2) the press and the lot before it, -1 first; press -2: nobody was told
    announced_tier: Ints = NONE  # (B) whose day it goes by, -1: none was told
    announced_day: Ints = NONE  # by tier: the day told, as in pickup_day

    # work between press and assembly: what parts wait for before they are back (lots that leave together, journeys to
    # other firms), and benches of our own, in the order in which parts go through them
    sent_out: int = 0  # 1: any parts travel, or are in hand with that work still to come
    good_moulded: Ints = NONE  # (G) parts in hand beyond good_stock, that work still to come
    good_lot: Ints = NONE  # (G) parts that travel together; 0: none waits for others
    trip_ptr: Ints = NONE  # (G + 1) journeys of each good, then of ways between benches; none: there at once
    trip_leaves: Ints = NONE  # last moment at which a part can be there to travel ...
    trip_back: Ints = NONE  # ... and when it is back then
    finishing: int = 0  # F benches
    finish_ptr: Ints = NONE  # (F + 1) stretches with people, as of the other benches
    finish_start: Ints = NONE
    finish_end: Ints = NONE
    finish_people: Ints = NONE
    finish_work: Ints = NO_PAIRS  # (F, A) person-seconds on the parts of an assembly job; -1: none pass the bench
    finish_rest: Ints = NO_PAIRS  # (F, A) seconds they rest after it
    need_first: Ints = NONE  # (needs of jobs) the first bench the good passes, F: none

    # several carriers, of which each batch goes with one; waves, of which none leaves before the one before has left
    leaving: int = 0  # 1: any of it; then pickup_parcels is the most that one of them takes
    batch_carrier: Ints = NONE  # (B)
    batch_wave: Ints = NONE  # (B) from 0, -1: neither waits nor is waited for
    pickup_carrier: Ints = NONE  # (pick-ups) whose it is
    carrier_parcels: Ints = NONE  # by carrier: most parcels one of its pick-ups takes
    pallet_parcels: Ints = NONE  # by carrier: parcels on a pallet, 0: it takes none
    pallet_price: Floats = NO_LINE  # by carrier: money for each pallet on each of its pick-ups
    pallets_least: float = 0.0  # money for as few pallets as there can be, which stands in fixed_cost
    waves: int = 0  # at least 1 where `leaving`

    # goods that several runs make, each tool a share: what each makes is a good of its own behind all others
    several: int = 0  # 1: there are any; ANYWHERE: tools may work at several places too
    first_source: Ints = NONE  # (G) the first good that a good draws on; last_source: behind the last; equal: none
    last_source: Ints = NONE
    several_bound: float = 0.0  # money that no plan undercuts, whoever makes how many

    # other places, each with setters of its own
    elsewhere: int = 0  # 1: there are any
    setter_first: Ints = NONE  # (P) the first of the setters who set that press up; setter_last: behind the last
    setter_last: Ints = NONE

    after_rest: Ints = NO_PAIRS  # (R, R), where `wishing`: seconds after all of b is done, as in run_after

    # people who stay at a press while it moulds
    tended: int = 0  # 1: some runs ask for them
    run_operators: Ints = NONE  # (R) how many each asks for
    tending_cost_s: Floats = NO_GRID  # (P, R) money for them a second of moulding
    operators: int = 0  # how many there are, at all places; 0: nowhere too few for all presses at once
    operator_first: Ints = NONE  # (P) the first of those where that press stands; operator_last: behind the last
    operator_last: Ints = NONE

    # what goes into moulds at the shot, taken by each lot as it begins; where there is any, `wishing` is 1
    over_ptr: Ints = NONE  # (R + 1)
    over_good: Ints = NONE  # goods, by run demand
    over_number: Ints = NONE  # of each, in a shot
    over_total: Ints = NONE  # (G) that all runs take; they stand in no stock of the benches

    # benches at other places: what goes from one to the next travels
    carrying: int = 0  # 1: anything does; then `sent_out` is 1, and its journeys stand behind those of goods
    carry_way: Ints = NO_PAIRS  # (F + 2, F + 2) from bench to bench, the last packing: row of `trip_ptr`, -1 none

    # (M) the first melt that is the same to a press; itself where it is alone; empty: all are different
    melt_like: Ints = NONE

    @property
    def clears(self) -> bool:
        """Whether barrels are cleared with compound or with a bridge."""
        return self.compound >= 0 or self.bridging > 0

    @property
    def leaves(self) -> Ints:
        """(R, 2) melt behind a run, -1 barrel not used."""
        return self.left_melt if self.clearing else self.run_melt

    @property
    def follows(self) -> Bools:
        """(R, R) [a, b]: a begins when all of b is done, or takes at the shot what b makes; where `wishing`."""
        after = self.run_after.copy()
        for run in range(self.run_tool.size if self.over_good.size else 0):
            for good in self.over_good[self.over_ptr[run] : self.over_ptr[run + 1]]:
                if self.good_run[good] >= 0:
                    after[run, self.good_run[good]] = True
                if self.several and self.first_source[good] < self.last_source[good]:
                    after[run, self.good_run[self.first_source[good] : self.last_source[good]]] = True
        return after

    @property
    def tending(self) -> Floats:
        """(P, R) money a second of moulding for people who stay at the press."""
        return self.tending_cost_s if self.tended else np.zeros(self.fits.shape)

    @property
    def in_hand(self) -> Ints:
        """(G) parts that need not be moulded, whatever work on them is still to come."""
        return self.good_stock + self.good_moulded if self.good_moulded.size else self.good_stock

    @property
    def least_mount_s(self) -> Ints:
        """(T) the least it takes to put a tool into a press that it is not in."""
        if not self.tool_base.size:
            return self.mount_s
        shared = np.bincount(self.tool_base, minlength=self.mount_s.size)[self.tool_base] > 1
        least: Ints = np.where(shared, np.minimum(self.mount_s, self.insert_s), self.mount_s)
        return least

    def filled(self) -> "Instance":
        """With the arrays of what there is none of written out: no bridges, nothing cleared."""
        presses, runs, melts = self.restart_s.size, self.run_tool.size, self.melt_resin.size
        inst = self if self.hands_end.size else self._replace(hands_end=self.open_end)
        if not self.first_source.size:
            none = np.zeros(self.good_run.size, dtype=np.int64)
            inst = inst._replace(first_source=none, last_source=none)
        if not self.tool_melt.size:
            inst = inst._replace(tool_melt=np.full((self.mount_s.size, 2), -1, dtype=np.int64))
        if not self.tool_base.size:
            inst = inst._replace(tool_base=np.arange(self.mount_s.size), insert_s=self.mount_s)
        if not self.bridging:
            none = np.full((melts, melts), -1, dtype=np.int64)
            inst = inst._replace(bridge=none, clearing_cost_kg=np.zeros(self.material_price.size))
        if not self.clearing:
            nothing, no_kg = np.zeros((presses, runs), dtype=np.int64), np.zeros((presses, runs, 2))
            inst = inst._replace(
                left_melt=self.run_melt, closing_s=nothing, closing_kg=no_kg, opening_s=nothing, opening_kg=no_kg
            )
        return inst


def packed_instance(inst: Instance) -> Instance:
    """The campaign as compiled code takes it."""
    return pack(tidied(inst.filled()))


def fingerprint(inst: Instance) -> str:
    """A hash of all there is to search: two campaigns that ask the same have the same.

    Of fields that came later only what is said counts: a campaign without them keeps its hash, and with it its seeds.
    """
    digest = hashlib.sha256()
    later = inst._fields.index("sent_out")
    for n, (field, value) in enumerate(zip(inst._fields, tidied(inst), strict=True)):
        array = np.asarray(value)
        if n >= later and np.array_equal(array, np.asarray(Instance._field_defaults[field])):
            continue
        if field == "setter_cost_s" and np.all(array == array[0]):
            array = array[0]  # one rate for all, as it was before there were other places
        digest.update(f"{field} {array.shape} ".encode())
        digest.update(array.tobytes())
    return digest.hexdigest()
