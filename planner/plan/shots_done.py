"""When the n-th shot of a run demand is done, and in which lot."""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.timing import Timing


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
        done = []
        for source in range(inst.first_source[good], inst.last_source[good]):
            need, asked = int(inst.good_need[source]), int(inst.good_count_shots[source])
            for n in range(1, need + 1):
                lot, moment = self.of(int(inst.good_run[source]), -(-n * asked // need))
                done.append((moment, lot))
        moment, lot = sorted(done)[parts - 1]
        return lot, moment
