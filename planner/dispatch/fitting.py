"""Do these boxes go into that box? Orthogonal three-dimensional fit with rotations, each answer proven.

First a search that sets each piece where others end: fast, and it finds nearly every fit there is. Where it
finds none, a constraint model decides: it also knows packings that interlock, and can prove that nothing fits
(pairwise separation, as in Chen, Lee, Shen, European Journal of Operational Research 80(1) 1995).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Sides = tuple[int, int, int]
Verdict = Literal["fits", "cannot", "undecided"]

_CORNER_STEPS = 150_000
_MODEL_PIECES = 20


@dataclass(frozen=True)
class Placement:
    """Where a piece lies: index into the pieces asked about, near corner and sides in mm as it lies."""

    piece: int
    at: Sides
    sides: Sides


@dataclass(frozen=True)
class Fit:
    """Answer with its reason. placements: one for each piece where the verdict is "fits", else empty."""

    verdict: Verdict
    why: str
    placements: tuple[Placement, ...] = ()


@dataclass(frozen=True)
class Piece:
    """A box to pack. sides in mm, the third is its height; upright: must stand on its base."""

    sides: Sides
    upright: bool = False

    @property
    def volume(self) -> int:
        """Cubic millimetres."""
        return self.sides[0] * self.sides[1] * self.sides[2]

    def turns(self) -> tuple[Sides, ...]:
        """Every way the piece can lie, each once, in a fixed order."""
        a, b, c = self.sides
        ways = {(a, b, c), (b, a, c)}
        if not self.upright:
            ways |= {(a, c, b), (c, a, b), (b, c, a), (c, b, a)}
        return tuple(sorted(ways))


def fit(pieces: Sequence[Piece], inside: Sides, effort: float = 3.0) -> Fit:
    """Whether all pieces go into a box of `inside` mm together.

    effort: deterministic time for the constraint model (about seconds); the same input gives the same answer.
    """
    if not pieces:
        return Fit("fits", "nothing to pack")
    if min(inside) <= 0 or any(min(piece.sides) <= 0 for piece in pieces):
        raise ValueError("every side must be above 0 mm")
    reason = _impossible(pieces, inside)
    if reason:
        return Fit("cannot", reason)
    found = _by_corners(pieces, inside)
    if found:
        return Fit("fits", "laid out", found)
    if len(pieces) > _MODEL_PIECES:
        return Fit("undecided", f"{len(pieces)} pieces are too many to prove that none of their layouts fits")
    return _by_model(pieces, inside, effort)


def _impossible(pieces: Sequence[Piece], inside: Sides) -> str:
    """Proofs that need no search: one piece, all volumes, two pieces side by side."""
    ways = [[turn for turn in piece.turns() if _within(turn, inside)] for piece in pieces]
    for piece, turns in zip(pieces, ways, strict=True):
        if not turns:
            return f"a piece of {_mm(piece.sides)} is larger than the inside {_mm(inside)}"
    volume = sum(piece.volume for piece in pieces)
    room = inside[0] * inside[1] * inside[2]
    if volume > room:
        return f"the pieces fill {volume / 1e6:.2f} litres, the inside holds {room / 1e6:.2f}"
    kinds = sorted({(piece.sides, piece.upright) for piece in pieces})
    of = {kind: next(w for p, w in zip(pieces, ways, strict=True) if (p.sides, p.upright) == kind) for kind in kinds}
    for i, one in enumerate(kinds):
        twice = sum((piece.sides, piece.upright) == one for piece in pieces) > 1
        for other in kinds[i if twice else i + 1 :]:
            apart = any(a[k] + b[k] <= inside[k] for a in of[one] for b in of[other] for k in range(3))
            if not apart:
                return f"pieces of {_mm(one[0])} and {_mm(other[0])} do not go beside each other any way"
    return ""


def _by_corners(pieces: Sequence[Piece], inside: Sides) -> tuple[Placement, ...]:
    """Depth-first: largest piece first, into each point where earlier pieces end. Empty: none found."""
    order = sorted(range(len(pieces)), key=lambda i: (-pieces[i].volume, pieces[i].sides, i))
    turns = [pieces[i].turns() for i in order]
    steps = 0

    def free(placed: list[Placement], sides: Sides) -> Iterator[Sides]:
        nonlocal steps
        ends = [{0} | {p.at[k] + p.sides[k] for p in placed} for k in range(3)]
        xs, ys, zs = (sorted(e for e in ends[k] if e + sides[k] <= inside[k]) for k in range(3))
        for z, y, x in product(zs, ys, xs):
            steps += 1
            if not any(_overlap((x, y, z), sides, p.at, p.sides) for p in placed):
                yield x, y, z

    def place(depth: int, placed: list[Placement]) -> list[Placement] | None:
        if depth == len(order):
            return placed
        same = depth > 0 and _same(pieces[order[depth]], pieces[order[depth - 1]])
        for sides in turns[depth]:
            for at in free(placed, sides):
                if steps > _CORNER_STEPS:
                    return None
                # of two equal pieces the later one lies later: halves the tree for each pair
                if same and at[::-1] < placed[-1].at[::-1]:
                    continue
                done = place(depth + 1, [*placed, Placement(order[depth], at, sides)])
                if done:
                    return done
        return None

    found = place(0, [])
    return tuple(sorted(found, key=lambda p: p.piece)) if found else ()


def _by_model(pieces: Sequence[Piece], inside: Sides, effort: float) -> Fit:
    # Here: it takes long to load, and the search before it finds nearly every fit.
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()

    def among(values: Sequence[int], name: str) -> "cp_model.IntVar":
        return model.new_int_var_from_domain(cp_model.Domain.from_values(values), name)

    starts: list[list[cp_model.IntVar]] = []
    sizes: list[list[cp_model.IntVar]] = []
    ends: list[list[cp_model.IntVar]] = []
    slices: list[list[cp_model.IntVar]] = []
    patterns = [_normal_positions(pieces, room) for room in inside]
    for i, piece in enumerate(pieces):
        turns = [turn for turn in piece.turns() if _within(turn, inside)]
        chosen = [model.new_bool_var(f"turn_{i}_{t}") for t in range(len(turns))]
        model.add_exactly_one(chosen)
        starts.append([among(patterns[k], f"at_{i}_{k}") for k in range(3)])
        ends.append([model.new_int_var(0, inside[k], f"end_{i}_{k}") for k in range(3)])
        sizes.append([])
        slices.append([])
        for k in range(3):
            lengths = [turn[k] for turn in turns]
            areas = [piece.volume // turn[k] for turn in turns]
            sizes[i].append(_tied(model, among(lengths, f"size_{i}_{k}"), lengths, chosen))
            slices[i].append(_tied(model, among(areas, f"slice_{i}_{k}"), areas, chosen))
            model.add(starts[i][k] + sizes[i][k] == ends[i][k])
    for i in range(len(pieces)):
        for j in range(i + 1, len(pieces)):
            beside = []
            for k in range(3):
                for first, second in ((i, j), (j, i)):
                    apart = model.new_bool_var(f"apart_{first}_{second}_{k}")
                    model.add(ends[first][k] <= starts[second][k]).only_enforce_if(apart)
                    beside.append(apart)
            model.add_bool_or(beside)
            if _same(pieces[i], pieces[j]):
                model.add(starts[i][0] <= starts[j][0])
    # Implied, and strong: no cut across the box meets more area of pieces than the box has there.
    for k in range(3):
        spans = [
            model.new_interval_var(starts[i][k], sizes[i][k], ends[i][k], f"span_{i}_{k}") for i in range(len(pieces))
        ]
        room = inside[0] * inside[1] * inside[2] // inside[k]
        model.add_cumulative(spans, [area[k] for area in slices], room)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        placements = []
        for i in range(len(pieces)):
            x, y, z = (int(solver.value(v)) for v in starts[i])
            a, b, c = (int(solver.value(v)) for v in sizes[i])
            placements.append(Placement(i, (x, y, z), (a, b, c)))
        return Fit("fits", "laid out by the constraint model", tuple(placements))
    if status == cp_model.INFEASIBLE:
        return Fit("cannot", "proven: no layout of these pieces goes inside")
    return Fit("undecided", "no layout found and none ruled out in the effort allowed: try it by hand")


def _tied(
    model: "cp_model.CpModel", variable: "cp_model.IntVar", values: list[int], chosen: "list[cp_model.IntVar]"
) -> "cp_model.IntVar":
    """The variable, which takes the value of the chosen turn."""
    for value, use in zip(values, chosen, strict=True):
        model.add(variable == value).only_enforce_if(use)
    return variable


def _normal_positions(pieces: Sequence[Piece], room: int) -> list[int]:
    """Places along one side of the box where a piece need start: sums of other pieces' sides.

    Any layout can be pushed towards one corner until it has this form (Herz, IBM Journal 16, 1972).
    """
    reached = {0}
    for piece in pieces:
        sides = {turn[k] for turn in piece.turns() for k in range(3)}
        reached |= {at + side for at in reached for side in sides if at + side < room}
    return sorted(reached)


def _within(sides: Sides, inside: Sides) -> bool:
    return all(side <= room for side, room in zip(sides, inside, strict=True))


def _overlap(at: Sides, sides: Sides, other_at: Sides, other: Sides) -> bool:
    return all(at[k] < other_at[k] + other[k] and other_at[k] < at[k] + sides[k] for k in range(3))


def _same(one: Piece, other: Piece) -> bool:
    return one.sides == other.sides and one.upright == other.upright


def _mm(sides: Sides) -> str:
    return f"{sides[0]} x {sides[1]} x {sides[2]} mm"
