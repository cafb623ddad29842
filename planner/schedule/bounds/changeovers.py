"""The least each changeover costs, by what runs before on the press: seconds and money that no plan can undercut."""

from dataclasses import dataclass

import numpy as np

from planner.schedule.instance import Bools, Floats, Instance, Ints
from planner.schedule.lot_sizes import most_lots


@dataclass(frozen=True)
class Changeovers:
    """Least seconds (without warm-up) and least waste cost of run r after run q on press p; index R: first on p.

    A hot runner is left out: what the tool held last may have been run elsewhere. needed: whether there is a
    changeover for certain (a first run that finds its tool and melts in the press needs none, nor does one behind a run
    of its tool whose melts are the same to the press).
    """

    seconds: Ints  # (P, R + 1, R)
    waste: Floats  # (P, R + 1, R)
    needed: Bools  # (P, R + 1, R)
    startup: Floats  # (P, R) money of the start-up shots in one changeover or restart: press time and waste
    kg: Floats  # (P, R + 1, R) kg of purges and start-up shots
    startup_kg: Floats  # (P, R) kg of the start-up shots in one changeover or restart

    def may_follow(self) -> Bools:
        """(R, R) whether run r may follow another run q without a changeover, on some press."""
        runs = self.needed.shape[2]
        free: Bools = np.any(~self.needed[:, :runs, :], axis=0)
        np.fill_diagonal(free, False)
        return free

    def money(self, inst: Instance, second_cost: Floats) -> Floats:
        """(P, R + 1, R) seconds at press and setter rates, and waste. The first on a press is made cold: the setter
        stands by while it warms up."""
        cost: Floats = self.seconds * (second_cost + inst.setter_cost_s)[:, None, None] + self.waste
        cost[:, -1] += np.where(self.needed[:, -1], (inst.restart_s * inst.setter_cost_s)[:, None], 0.0)
        return cost


def least_changeovers(inst: Instance) -> Changeovers:
    """Work out the least of each pair."""
    presses, runs = inst.fits.shape
    seconds = np.zeros((presses, runs + 1, runs), dtype=np.int64)
    waste = np.zeros((presses, runs + 1, runs))
    needed = np.ones((presses, runs + 1, runs), dtype=np.bool_)
    startup = np.zeros((presses, runs))
    wasted = np.zeros((presses, runs + 1, runs))
    startup_kg = np.zeros((presses, runs))
    purge_s, purge_cost, purge_kg = _either_way(inst)
    several = most_lots(inst) > 1
    mount_s = inst.least_mount_s
    like = same_to_a_press(inst)
    for p in range(presses):
        for r in np.flatnonzero(inst.fits[p]):
            tool = inst.run_tool[r]
            melts = [(b, int(m)) for b, m in enumerate(inst.run_melt[r]) if m >= 0]
            shots = float(sum(inst.startup_shots[r] * inst.shot_kg[r, b] * inst.waste_cost_kg[m] for b, m in melts))
            startup_kg[p, r] = sum(inst.startup_shots[r] * inst.shot_kg[r, b] for b, _ in melts)
            startup[p, r] = inst.startup_s[p, r] * inst.press_cost_s[p] + shots
            before = np.append(inst.run_tool, inst.press_tool[p])
            mounts = before != tool
            time = np.where(mounts, mount_s[tool], 0)
            kg_cost = np.zeros(runs + 1)
            purged_kg = np.zeros(runs + 1)
            purges = np.zeros(runs + 1, dtype=np.bool_)
            for b, new in melts:
                old = np.append(inst.leaves[:, b], inst.press_melt[p, b])
                purged = (old >= 0) & (like[old] != like[new])
                purges |= purged
                time = time + np.where(purged, purge_s[p, b, r, old], 0)
                cost = np.where(purged, purge_cost[p, b, old, new], 0.0)
                kg = np.where(purged, purge_kg[p, b, old, new], 0.0)
                # a one-barrel tool leaves barrel 2 as it was: the kindest content it may have
                unknown = old < 0
                unknown[runs] = False
                held = _may_hold(inst, p, b, int(r), bool(several[r])) if unknown.any() else []
                if held:
                    time[unknown] += int(purge_s[p, b, r, held].min())
                    cost[unknown] = purge_cost[p, b, held, new].min()
                    kg[unknown] = purge_kg[p, b, held, new].min()
                kg_cost += cost
                purged_kg += kg
            needed[p, :, r] = mounts | purges
            for left in _left_by_others(inst, p):  # they may have worked there in between
                gone = [(b, new, int(left[b])) for b, new in melts if like[int(left[b])] != like[new]]
                time = np.minimum(time, mount_s[tool] + sum(int(purge_s[p, b, r, old]) for b, _, old in gone))
                kg_cost = np.minimum(kg_cost, sum(float(purge_cost[p, b, old, new]) for b, new, old in gone))
                purged_kg = np.minimum(purged_kg, sum(float(purge_kg[p, b, old, new]) for b, new, old in gone))
            seconds[p, :, r] = np.where(needed[p, :, r], time + inst.startup_s[p, r], 0)
            wasted[p, :, r] = np.where(needed[p, :, r], purged_kg + startup_kg[p, r], 0.0)
            waste[p, :, r] = np.where(needed[p, :, r], kg_cost + shots + _charges(inst, p, purges, mounts), 0.0)
    return Changeovers(seconds, waste, needed, startup, wasted, startup_kg)


def _charges(inst: Instance, p: int, purges: Bools, mounts: Bools) -> Floats:
    """(R + 1) least money charged for each changeover of press p, by what it does for certain: others who work there
    in between may leave any tool and melt."""
    if not inst.charging:
        return np.zeros(purges.size)
    known = inst.sharing == 0
    charged = inst.changeover_charge[p]
    return np.array(
        [charged[int(one and known) :, int(two and known) :].min() for one, two in zip(purges, mounts, strict=True)]
    )


def _left_by_others(inst: Instance, p: int) -> Ints:
    """(n, 2) what others leave in the barrels of press p, each once."""
    if not inst.sharing:
        return np.zeros((0, 2), dtype=np.int64)
    since = np.unique(inst.since_others[inst.open_ptr[p] : inst.open_ptr[p + 1]])
    left: Ints = np.unique(inst.others_left[since[since >= 0]].reshape(-1, 2), axis=0)
    return left


def _either_way(inst: Instance) -> tuple[Ints, Floats, Floats]:
    """Seconds (P, 2, R, M), money and kg (P, 2, M, M) of a barrel's purge, each the least of melt alone and of compound
    or bridge with the melt that rinses it out."""
    melt = inst.purge_kg * inst.waste_cost_kg
    if not inst.clears:
        return inst.purge_s, melt, inst.purge_kg
    per_kg = np.full(inst.purge_kg.shape[2:], inst.compound_cost_kg)
    if inst.bridging:
        per_kg = np.where(inst.bridge >= 0, inst.clearing_cost_kg[inst.bridge], per_kg)
    other = inst.compound_kg * per_kg + inst.compound_rinse_kg * inst.waste_cost_kg
    cost: Floats = np.where(inst.compound_kg > 0, np.minimum(melt, other), melt)
    cleared = inst.compound_kg + inst.compound_rinse_kg
    kg: Floats = np.where(inst.compound_kg > 0, np.minimum(inst.purge_kg, cleared), inst.purge_kg)
    return np.minimum(inst.purge_s, inst.compound_s), cost, kg


def _may_hold(inst: Instance, p: int, barrel: int, run: int, several_lots: bool) -> list[int]:
    """Melts that press p's barrel may hold before a run; none if it may be clean or hold the run's melt already."""
    new, like = int(inst.run_melt[run, barrel]), same_to_a_press(inst)
    fitting = np.flatnonzero(inst.fits[p])
    held = {int(m) for m in inst.leaves[fitting, barrel] if m >= 0 and m != new}
    first = int(inst.press_melt[p, barrel])
    held |= {int(m) for m in _left_by_others(inst, p)[:, barrel]}
    several_lots = several_lots or new in held
    left = [int(inst.leaves[other, barrel]) for other in fitting if other != run]
    same = several_lots or any(m >= 0 and like[m] == like[new] for m in left)
    return [] if first < 0 or like[first] == like[new] or same else sorted(held | {first})


def same_to_a_press(inst: Instance) -> Ints:
    """(M) the first melt that each is the same as; one more for none."""
    own = inst.melt_like if inst.melt_like.size else np.arange(inst.waste_cost_kg.size)
    return np.append(own, -1)
