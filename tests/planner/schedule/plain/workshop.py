"""What the plain reading works on: presses, lots, and a workshop's materials and money as they stand."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from planner.schedule.instance import Instance
from tests.planner.schedule.plain.press_dryers import Dryers

Melt = int


class CannotBeDone(Exception):
    """A calendar or a material ends before the work does."""


@dataclass
class Press:
    number: int
    stretches: list[tuple[int, int]]
    tool: int | None
    melts: list[Melt | None]
    to_do: list[int]
    hands: dict[int, int]  # start of each stretch -> until when somebody is there
    after: dict[int, int]  # start of each stretch -> number of the stretch since which nobody else worked there
    free: int = 0
    since: int = -1  # the same of the stretch it worked in last
    broken_off: int | None = None  # shots of the next lot that others' work left undone
    warmed: set[int] = field(default_factory=set)  # starts of the stretches that are warm


@dataclass
class Lot:
    """What became of a lot: its changeover (start, end), and for each shot the second it is done."""

    press: int
    changeover: tuple[int, int] | None
    shots_done: list[int]

    @property
    def end(self) -> int:
        return self.shots_done[-1]


class Changes(NamedTuple):
    """A changeover: whether it is needed, seconds without warm-up, melt purged by barrel, what clears barrels (compound
    and bridges, by material), and the moment at which so much of that is there, where it is waited for or there at
    once."""

    needed: bool
    seconds: int
    kg: dict[int, float]
    clearing: dict[int, float]
    waits: int


@dataclass
class Result:
    lots: dict[int, Lot]
    lines: dict[str, float]
    purge_kg: float
    startup_kg: float
    job_ends: dict[int, int]
    batch_ends: dict[int, int]
    pickups: dict[int, int]
    cost: float
    broken: float = 0.0


class Workshop:
    """A workshop as it stands while a plan is carried out."""

    def __init__(self, inst: Instance, sequences: list[list[int]]) -> None:
        self.inst = inst = inst.filled()
        self.presses = []
        for p, lots in enumerate(sequences):
            a, b = inst.open_ptr[p], inst.open_ptr[p + 1]
            held = [None if m < 0 else int(m) for m in inst.press_melt[p]]
            mounted = None if inst.press_tool[p] < 0 else int(inst.press_tool[p])
            hours = [(int(s), int(e)) for s, e in zip(inst.open_start[a:b], inst.open_end[a:b], strict=True)]
            hands = dict(zip(inst.open_start[a:b].tolist(), inst.hands_end[a:b].tolist(), strict=True))
            since = inst.since_others[a:b].tolist() if inst.sharing else [-1] * len(hours)
            after = dict(zip(inst.open_start[a:b].tolist(), since, strict=True))
            self.presses.append(Press(p, hours, mounted, held, list(lots), hands, after))
        self.base_free: dict[int, int] = {}
        self.bills = [0.0] * len(self.presses)
        self.charged: set[tuple[int, int, int]] = set()  # press, opening, shift of it
        self.still_to_come = [int(inst.lot_run[lot]) for lots in sequences for lot in lots]
        self.done_at: dict[int, int] = {}
        self.broken = 0.0
        self.runner: dict[tuple[int, int], Melt] = {
            (t, b): int(melt) for t, row in enumerate(inst.tool_melt) for b, melt in enumerate(row) if melt >= 0
        }
        self.setters_busy_until = [0] * inst.setters
        self.staying: list[tuple[int, int, int]] = []  # first of the people of a place, how many stay, until when
        self.used = [Fraction(0)] * len(inst.material_price)
        self.dryers = Dryers(inst)
        self.lots: dict[int, Lot] = {}
        self.began: list[tuple[int, int]] = []
        self.lines = dict.fromkeys(("press", "setter", "purge", "startup", "leftover", "lateness"), 0.0)
        self.purge_kg = self.startup_kg = 0.0

    def melts(self, run: int) -> list[tuple[int, Melt]]:
        return [(b, int(m)) for b, m in enumerate(self.inst.run_melt[run]) if m >= 0]

    def free_for(self, press: Press, run: int) -> int:
        """When press and tool are both free."""
        tool = int(self.inst.run_tool[run])
        return max(press.free, int(self.inst.tool_ready[tool]), self.base_free.get(int(self.inst.tool_base[tool]), 0))

    def stretch_at(self, press: Press, moment: int) -> tuple[int, int]:
        return next((o, c) for o, c in press.stretches if o <= moment < c)

    def setters_of(self, p: int) -> range:
        """Whoever may set up a press."""
        inst = self.inst
        return range(int(inst.setter_first[p]), int(inst.setter_last[p])) if inst.elsewhere else range(inst.setters)

    def left(self, run: int) -> dict[int, Melt]:
        """Barrels whose melt must not stand, and what clears it."""
        left = ((b, int(self.inst.left_melt[run, b])) for b, _ in self.melts(run))
        return {b: m for b, m in left if m != int(self.inst.run_melt[run, b])}

    def melt_use(self, melt: Melt, kg: float) -> list[tuple[int, float]]:
        share = float(self.inst.melt_master_share[melt])
        use = [(int(self.inst.melt_resin[melt]), kg * (1 - share))]
        if self.inst.melt_master[melt] >= 0:
            use.append((int(self.inst.melt_master[melt]), kg * share))
        return use

    def take(self, melt: Melt, kg: float) -> None:
        for material, amount in self.melt_use(melt, kg):
            self.used[material] += Fraction(amount)

    def waste(self, melt: Melt, kg: float) -> None:
        """Purge so much of a melt."""
        self.purge_kg += kg
        self.lines["purge"] += kg * float(self.inst.waste_cost_kg[melt])
        self.take(melt, kg)

    def start_up(self, run: int) -> None:
        for b, melt in self.melts(run):
            kg = int(self.inst.startup_shots[run]) * float(self.inst.shot_kg[run, b])
            self.startup_kg += kg
            self.lines["startup"] += kg * float(self.inst.waste_cost_kg[melt])
            self.take(melt, kg)
