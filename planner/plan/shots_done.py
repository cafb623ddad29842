"""When the n-th shot of a run demand is done, and in which lot."""

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.timing import Timing

NO_LOT = -1


def back_from(inst: Instance, good: int, moment: int) -> int:
    """When a part that is there to travel at a moment is back."""
    if not inst.sent_out:
        return moment
    first, after = int(inst.trip_ptr[good]), int(inst.trip_ptr[good + 1])
    going = first + int(np.searchsorted(inst.trip_leaves[first:after], moment))
    return int(inst.trip_back[going]) if first <= going < after else moment


class ShotsDone:
    """Shots in the order in which they are done. timing: as evaluated last, each lot in its own row."""

    def __init__(self, inst: Instance, timing: Timing) -> None:
        self._inst, self._timing = inst, timing
        self._lots_of: list[list[int]] = [[] for _ in range(inst.run_tool.size)]
        for lot in timing.lots[:, w.ORDER].tolist():
            self._lots_of[int(inst.lot_run[lot])].append(lot)

    def of(self, run: int, asked: int) -> tuple[int, int]:
        """The lot that makes the asked shot of its demand, and the second at which it is done."""
        inst, timing = self._inst, self._timing
        for lot in self._lots_of[run]:
            if asked <= inst.lot_shots[lot]:
                press = timing.lots[lot, w.PRESS]
                work = -(-asked * int(inst.shot_num[press, run]) // int(inst.shot_den[press, run]))
                first = int(timing.lots[lot, w.FIRST_PIECE])
                for piece in timing.pieces[first : first + int(timing.lots[lot, w.PIECES])]:
                    if work <= piece[w.WORK]:
                        return lot, int(piece[w.BEGAN]) + work
                    work -= int(piece[w.WORK])
            asked -= int(inst.lot_shots[lot])
        raise AssertionError("more shots are asked for than are made")

    def of_good(self, good: int, parts: int) -> tuple[int, int]:
        """The lot that makes so many parts counted on of a good complete, and the second at which it does."""
        inst = self._inst
        if not inst.several or inst.first_source[good] == inst.last_source[good]:
            shots = -(-parts * int(inst.good_count_shots[good]) // int(inst.good_need[good]))
            return self.of(int(inst.good_run[good]), shots)
        return self.there(good, parts)[:2]

    def there(self, good: int, parts: int) -> tuple[int, int, int]:
        """Of a good that several tools make, the lot that makes so many parts complete, when it does, and when the last
        of them has rested and come; NO_LOT where those in hand elsewhere do."""
        inst = self._inst
        rest, apart = int(inst.good_rest_s[good]), self._apart(good)
        done = list[tuple[int, int, int]]()
        if apart:
            done += [(back_from(inst, good, 0), 0, NO_LOT)] * int(inst.good_moulded[good])
        for source in range(inst.first_source[good], inst.last_source[good]):
            need, asked = int(inst.good_need[source]), int(inst.good_count_shots[source])
            for n in range(1, need + 1):
                size = int(inst.good_lot[source]) if apart else 0
                last = min(-(-n // size) * size, need) if size else n
                lot, moment = self.of(int(inst.good_run[source]), -(-last * asked // need))
                comes = moment + rest
                if apart:
                    comes = back_from(inst, source, comes)
                done.append((comes, moment, lot))
        comes, moment, lot = sorted(done)[parts - 1]
        return lot, moment, comes if apart else back_from(inst, good, comes)

    def _apart(self, good: int) -> bool:
        """Whether what each of several tools makes of a good travels by itself."""
        inst = self._inst
        if not inst.sent_out or inst.good_lot[good] > 0:
            return False
        first, last = int(inst.first_source[good]), int(inst.last_source[good])
        return bool(inst.trip_ptr[first] < inst.trip_ptr[last] or inst.trip_ptr[good] < inst.trip_ptr[good + 1])
