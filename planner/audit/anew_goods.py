"""When so many of each moulded item and bought-in piece are there in a scenario (A13): D5, B5, F2, F9 and D6 read anew.

Parts come shot by shot, rest, and travel in lots where they are moulded elsewhere or go to other firms. Moments are UTC
seconds.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from datetime import timedelta
from itertools import accumulate
from typing import NamedTuple

from planner.audit.anew_made import Part
from planner.audit.anew_purges import CannotTell
from planner.audit.case import Case
from planner.audit.finishing import Stay, back, lot_size, moulded_apart, stays
from planner.audit.needs import Item
from planner.audit.pieces import agreed, part_deliveries
from planner.audit.shared import counts_with, is_shared

NEVER = 1 << 60
Good = Item | str
"""A moulded item or a bought-in piece."""


class Coming(NamedTuple):
    """How goods come in a scenario. counting: (item, tool) -> shots of the tool until what it makes of the item is
    good; piece_late: seconds by which deliveries come later; believed: where what is known at a moment counts, by how
    much they are likely to come later, and that moment."""

    counting: dict[tuple[Item, str], int]
    piece_late: dict[str, int]
    believed: tuple[dict[str, int], int] | None = None


class Goods:
    """What has come by when in one scenario."""

    def __init__(self, case: Case, parts: list[Part], coming: Coming) -> None:
        """parts: what the presses make, in order of its begin."""
        self.case, self.coming = case, coming
        self._made: dict[tuple[Item, str], list[Part]] = defaultdict(list)
        for part in parts:
            for item in case.items_of(part.lot.work):
                self._made[item, part.lot.tool].append(part)
        self._upto = {key: list(accumulate((one.shots for one in made), initial=0)) for key, made in self._made.items()}
        self._each: dict[Item, list[int]] = {}
        self._steps: dict[str, list[tuple[int, int]]] = {}
        self._known: dict[tuple[Good, int], int] = {}
        self._bought = {line.id: line.bought for line in case.plan.pieces}

    def met(self, good: Good, number: int) -> int:
        """When so many have come in all."""
        key = good, number
        if key not in self._known:
            self._known[key] = self._piece(good, number) if isinstance(good, str) else self._item(good, number)
        return self._known[key]

    # -- pieces --------------------------------------------------------------------------------------------------------

    def _piece(self, name: str, number: int) -> int:
        if name not in self._steps:
            self._steps[name] = self._steps_of(name)
        return min((at for at, have in self._steps[name] if have >= number), default=NEVER)

    def _steps_of(self, name: str) -> list[tuple[int, int]]:
        case, piece = self.case, self.case.campaign.pieces[name]
        start = case.start
        have, latest = piece.stock, start
        found = [(start, have)]
        for at, amount in sorted(agreed(case, piece), key=lambda one: one[0]):
            have, latest = have + amount, max(start, at)
            found.append((self._comes(name, latest), have))
        come = part_deliveries(piece, self._bought.get(name, 0))
        for n, (days, amount) in enumerate(come, start=1):
            have += amount
            at = max(latest, case.clock.at(case.campaign.start + timedelta(days=days)))
            found.append((self._comes(name, at), have if n < len(come) else NEVER))
        return found

    def _comes(self, name: str, planned: int) -> int:
        """When a delivery of a piece that is planned for a moment comes, or is believed to."""
        start, coming = self.case.start, self.coming
        at = max(start, planned + coming.piece_late.get(name, 0))
        if coming.believed is None or at <= coming.believed[1]:
            return at
        likely, clock = coming.believed
        return max(start, planned + likely.get(name, 0), clock)

    # -- moulded items -------------------------------------------------------------------------------------------------

    def _item(self, item: Item, number: int) -> int:
        """In stock first, finished before unfinished; then as the presses mould them."""
        case, need = self.case, self.case.needs[item]
        parts = number - (need.stock - need.moulded)
        if parts <= 0:
            return case.start
        if parts > need.moulded + need.to_mould:
            return NEVER
        if moulded_apart(case, item):
            return self._from_each(item)[parts - 1]
        going = stays(case, item)
        if going:
            size = lot_size(case, going, need.moulded + need.to_mould)
            parts = min(-(-parts // size) * size, need.moulded + need.to_mould)
        parts -= need.moulded
        moment = case.start if parts <= 0 else self._moulded(item, parts)
        if moment >= NEVER or not going:
            return moment
        return self._back(going, moment)

    def _from_each(self, item: Item) -> list[int]:
        """Of what is made at several places, those in hand unfinished first: when each part is where it is taken."""
        if item not in self._each:
            case, going = self.case, stays(self.case, item)
            found = [self._back(going, case.start)] * case.needs[item].moulded if going else []
            for tool, good in counts_with(case, item).items():
                found += self._from(item, tool, good)
            self._each[item] = sorted(found)
        return self._each[item]

    def _from(self, item: Item, tool: str, good: int) -> list[int]:
        """When each of the parts that one tool makes has come: at an even pace over its shots, in lots of its own."""
        case, going = self.case, stays(self.case, item, tool)
        size = lot_size(case, going, good) if going else 1
        rest, upto, found = case.rest_seconds[item[0]], self._upto.get((item, tool), [0]), list[int]()
        for last in range(size, good + size, size):
            whole = min(last, good)
            shot = -(-whole * self.coming.counting[item, tool] // good)
            if shot > upto[-1]:
                return found + [NEVER] * (good - len(found))
            n = bisect_left(upto, shot) - 1
            moment = self._made[item, tool][n].at(shot - upto[n]) + rest
            found += [self._back(going, moment) if going else moment] * (whole - len(found))
        return found

    def _back(self, going: Sequence[Stay], moment: int) -> int:
        found = self.case.once(("back", id(going), moment), lambda: back(self.case, going, moment))
        if found is None:
            raise CannotTell
        return found

    def _moulded(self, item: Item, parts: int) -> int:
        """When so many beyond stock are moulded and have rested."""
        if is_shared(self.case, item[0]):
            moment = self._by_several(item, parts)
        else:
            tools = [tool for of, tool in self._made if of == item]
            moment = self._by_one(item, tools[0], parts) if tools else NEVER
        return moment if moment >= NEVER else moment + self.case.rest_seconds[item[0]]

    def _by_one(self, item: Item, tool: str, parts: int) -> int:
        shot = -(-parts * self.coming.counting[item, tool] // self.case.needs[item].to_mould)
        upto = self._upto[item, tool]
        if shot > upto[-1]:
            return NEVER
        n = bisect_left(upto, shot) - 1
        return self._made[item, tool][n].at(shot - upto[n])

    def _by_several(self, item: Item, parts: int) -> int:
        """The first second at which all tools together have so many that are counted on (D6)."""
        made = [one for (of, _), parts_of in self._made.items() if of == item for one in parts_of]
        low, high = self.case.start, max((one.free for one in made), default=self.case.start)
        if self._counted(item, high) < parts:
            return NEVER
        while high - low > 1:
            middle = (low + high) // 2
            if self._counted(item, middle) < parts:
                low = middle
            else:
                high = middle
        return high

    def _counted(self, item: Item, moment: int) -> int:
        """Parts of all tools by then, each tool's at an even pace over its own shots."""
        share, found = counts_with(self.case, item), 0
        for tool, good in share.items():
            asked = self.coming.counting.get((item, tool), 0)
            if asked:
                shots = sum(one.by(moment) for one in self._made.get((item, tool), []))
                found += min(shots, asked) * good // asked
        return found
