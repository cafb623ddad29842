"""Orders whose colourway is open until something is settled, as in a vote (RULES.md, S10.5).

What an outcome moves from one colourway to another is taken out of the order lines as lines of their own, in a
colourway of their own whose parts have colours of their own. Which colours those are is settled with the rest: they
are recipes of the outcomes. So nothing of them is moulded before it is known, and whatever else is ordered is certain.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from itertools import pairwise

from planner.calendars.moments import first_moment
from planner.campaign.base import LONGEST_NAME, Arrival
from planner.campaign.document import Campaign
from planner.campaign.materials import Colour
from planner.campaign.melts import let_down
from planner.campaign.orders import OrderLine
from planner.campaign.pointers import pointer
from planner.campaign.products import Product
from planner.campaign.uncertainty import Moved, OpenBetween, Recipe, Settled
from planner.errors import Problem
from planner.settled.open_orders import as_ordered

Places = dict[str, str]
"""Pointer as the campaign has it now -> as the document had it."""

Ways = tuple[str, ...]
"""A colourway, or a colour, in each outcome."""

Pool = tuple[str, str, str | None]
"""Product, colourway and tier that orders are moved from."""

OPEN_TWICE, OPEN_MORE_KG = 2.0, 2.0
"""Of the masterbatch for open orders so much is taken to be there: twice what their parts take, and so many kg for
purges and start-ups."""


def with_open_orders(campaign: Campaign) -> tuple[Campaign, Places, list[Problem]]:
    """The campaign in which open orders are apart, where lines of it stood in the document, and what is wrong with the
    moves; those of a thing with problems are left alone.

    What was told apart before, in a campaign written down after it was read, is told apart anew: other orders may have
    been brought since."""
    places, problems = Places(), list[Problem]()
    campaign = as_ordered(campaign)
    for name, one in campaign.uncertainty.settled.items() if campaign.uncertainty else ():
        if not any(outcome.moves for outcome in one.outcomes.values()):
            continue
        wrong = list(_problems(campaign, name, one))
        problems += wrong
        if not wrong:
            campaign, stood = _apart(campaign, name, one)
            places = _onwards(places, stood)
    return campaign, places, problems


def as_it_stood(problems: list[Problem], places: Places) -> list[Problem]:
    """Problems with the pointers of the document."""
    if not places:
        return problems
    longest = sorted(places, key=len, reverse=True)

    def told(problem: Problem) -> Problem:
        for now in longest:
            if problem.pointer == now or problem.pointer.startswith(f"{now}/"):
                line = now.startswith("/orders/")
                return replace(problem, pointer=places[now] + (problem.pointer.removeprefix(now) if line else ""))
        return problem

    return [told(problem) for problem in problems]


def _onwards(before: Places, after: Places) -> Places:
    """Pointers through two rewritings."""
    found = {now: before.get(stood, stood) for now, stood in after.items()}
    return found | {now: stood for now, stood in before.items() if now not in found}


# -- what is wrong with the moves --------------------------------------------------------------------------------------


def _problems(campaign: Campaign, name: str, one: Settled) -> Iterator[Problem]:
    moved: dict[Pool, dict[str, int]] = {}
    for outcome_id, outcome in one.outcomes.items():
        for n, move in enumerate(outcome.moves):
            where = pointer("uncertainty", "settled", name, "outcomes", outcome_id, "moves", n)
            found = _of_names(campaign, move)
            if found:
                yield Problem(where, *found)
                return
            yield from _of_colours(campaign, move, where, name)
            by_outcome = moved.setdefault((move.product, move.colourway, move.tier), {})
            by_outcome[outcome_id] = by_outcome.get(outcome_id, 0) + move.orders
            held = sum(line.count for line in campaign.orders if _holds(line, move.product, move.colourway, move.tier))
            if by_outcome[outcome_id] > held:
                whose = f" of tier `{move.tier}`" if move.tier else ""
                text = f"{by_outcome[outcome_id]:,} orders are moved from `{move.colourway}`, {held:,}{whose} have it"
                yield Problem(where, text, "move fewer")
    for product, colourway, tier in moved:
        if tier is not None and (product, colourway, None) in moved:
            text = f"orders of `{product}` in `{colourway}` are moved by tier and altogether"
            where = pointer("uncertainty", "settled", name)
            yield Problem(where, text, "say the tier in each of these moves, or in none")


def _of_names(campaign: Campaign, move: Moved) -> tuple[str, str] | None:
    product = campaign.products.get(move.product)
    if product is None:
        return f"`{move.product}` is not among `products`", "name one that is"
    for colourway in (move.colourway, move.becomes):
        if colourway not in product.colourways:
            return f"`{colourway}` is no colourway of `{move.product}`", "name one that it has"
    if move.colourway == move.becomes:
        return f"orders in `{move.colourway}` that become `{move.becomes}` are not moved", "leave it out"
    if move.tier is not None and move.tier not in campaign.tiers:
        return f"`{move.tier}` is not among `tiers`", "name one that is, or leave it out"
    if product.finished_in.get(move.colourway) != product.finished_in.get(move.becomes):
        text = f"`{move.colourway}` and `{move.becomes}` get their colours by finishing"
        return text, "mould them in one colour and import the orders again once it is known"
    return None


def _of_colours(campaign: Campaign, move: Moved, where: str, name: str) -> Iterator[Problem]:
    """What keeps parts of an open colour from being moulded before it is known is that its masterbatch is not there."""
    made = campaign.products[move.product].colourways
    for part, colours in made[move.colourway].items():
        others = made[move.becomes].get(part, colours)
        for barrel, pair in enumerate(zip(colours, others, strict=False)):
            for colour in pair if pair[0] != pair[1] else ():
                own = campaign.colours.get(colour)
                resin = campaign.parts[part].barrels[barrel].resin if part in campaign.parts else ""
                if own is None or resin not in campaign.resins:
                    continue  # said elsewhere
                if let_down(campaign, resin, colour) == 0:
                    text = f"`{colour}` takes no masterbatch, so nothing keeps open orders in it from being moulded"
                    yield Problem(where, text, f"give the orders their colour once `{name}` is settled")
                elif not own.can_be_had:
                    text = f"there is no masterbatch of `{colour}`, and none comes"
                    yield Problem(where, text, "say what is in stock, or the days from order to door")


def _holds(line: OrderLine, product: str, colourway: str, tier: str | None) -> bool:
    """Whether orders of a line have a unit of the product in that colourway."""
    if line.gone is not None or (tier is not None and line.tier != tier):
        return False
    return any(colourway in units.get(product, ()) for units in (line.units, line.extra_units))


# -- open orders apart -------------------------------------------------------------------------------------------------


@dataclass
class _Line:
    """Some orders of a line. stood: its place in the document."""

    line: OrderLine
    stood: int


def _apart(campaign: Campaign, name: str, one: Settled) -> tuple[Campaign, Places]:
    lines = [_Line(line, n) for n, line in enumerate(campaign.orders)]
    written = _Written(campaign, name, one)
    pools = dict.fromkeys((m.product, m.colourway, m.tier) for o in one.outcomes.values() for m in o.moves)
    for pool in pools:
        lines = _taken_out(lines, one, pool, written)
    found = written.campaign([entry.line for entry in lines])
    here = pointer("uncertainty", "settled", name)
    places = {pointer("orders", n): pointer("orders", entry.stood) for n, entry in enumerate(lines) if n != entry.stood}
    places |= {pointer("colours", colour): here for colour in written.colours}
    for product, colourways in written.colourways.items():
        places |= {pointer("products", product, "colourways", colourway): here for colourway in colourways}
    return found, places


def _taken_out(lines: list[_Line], one: Settled, pool: Pool, written: "_Written") -> list[_Line]:
    """Lines cut so that each is wholly in one colourway in every outcome, and open where those differ. Orders are
    counted from the end of the book; in an outcome its moves take them one after the other."""
    product, colourway, tier = pool
    ends = [_ends(outcome.moves, pool) for outcome in one.outcomes.values()]
    cuts = sorted({0, *(end for of_one in ends for end, _ in of_one)})

    def ways_at(place: int) -> Ways:
        return tuple(next((to for end, to in of_one if place < end), colourway) for of_one in ends)

    found: list[_Line] = []
    place = 0
    for entry in reversed(lines):
        if not _holds(entry.line, product, colourway, tier):
            found.append(entry)
            continue
        inside = [cut for cut in cuts if place < cut < place + entry.line.count]
        for first, last in pairwise([place, *inside, place + entry.line.count]):
            ways = ways_at(first)
            line = entry.line.model_copy(update={"count": last - first})
            if len(set(ways)) > 1:
                line = _in_colourway(line, product, colourway, written.colourway(product, ways))
            found.append(_Line(line, entry.stood))
        place += entry.line.count
    return found[::-1]


def _ends(moves: list[Moved], pool: Pool) -> list[tuple[int, str]]:
    """Up to which order, counted from the end, each move of the pool goes, and what those become."""
    found, end = [], 0
    for move in moves:
        if (move.product, move.colourway, move.tier) == pool:
            end += move.orders
            found.append((end, move.becomes))
    return found


def _in_colourway(line: OrderLine, product: str, colourway: str, other: str) -> OrderLine:
    def told(units: dict[str, list[str]]) -> dict[str, list[str]]:
        if product not in units:
            return units
        return units | {product: [other if one == colourway else one for one in units[product]]}

    return line.model_copy(update={"units": told(line.units), "extra_units": told(line.extra_units)})


class _Written:
    """Colourways and colours of open orders as they are first met."""

    def __init__(self, campaign: Campaign, name: str, one: Settled) -> None:
        self._campaign, self._name, self._one = campaign, name, one
        self.colourways: dict[str, dict[str, Ways]] = {}
        self.colours: dict[str, Ways] = {}

    def colourway(self, product: str, ways: Ways) -> str:
        """The open colourway that is these in the outcomes."""
        known = self.colourways.setdefault(product, {})
        for called, own in known.items():
            if own == ways:
                return called
        called = _called(ways, {*self._campaign.products[product].colourways, *known})
        known[called] = ways
        made = self._campaign.products[product].colourways
        for part, colours in made[ways[0]].items():
            for barrel in range(len(colours)):
                of = self._colours_of(product, ways, part, barrel)
                if len(set(of)) > 1:
                    self._colour(of)
        return called

    def _colours_of(self, product: str, ways: Ways, part: str, barrel: int) -> Ways:
        made = self._campaign.products[product].colourways
        return tuple(made[way].get(part, made[ways[0]][part])[barrel] for way in ways)

    def _colour(self, ways: Ways) -> str:
        for called, own in self.colours.items():
            if own == ways:
                return called
        called = _called(ways, {*self._campaign.colours, *self.colours})
        self.colours[called] = ways
        return called

    def campaign(self, orders: list[OrderLine]) -> Campaign:
        """The campaign with these lines, their open colourways and colours."""
        campaign, unsure = self._campaign, self._campaign.uncertainty
        assert unsure is not None
        products = dict(campaign.products)
        for product, named in self.colourways.items():
            made = products[product]
            colourways = dict(made.colourways)
            finished = dict(made.finished_in)
            for called, ways in named.items():
                colourways[called] = {
                    part: [self._one_of(product, ways, part, barrel) for barrel in range(len(colours))]
                    for part, colours in made.colourways[ways[0]].items()
                }
                if ways[0] in finished:
                    finished[called] = finished[ways[0]]
            update = {"colourways": colourways} | ({"finished_in": finished} if finished else {})
            products[product] = made.model_copy(update=update)
        kg = self._masterbatch(orders, products)
        colours = dict(campaign.colours)
        for called, ways in self.colours.items():
            colours[called] = self._open_colour(ways, kg.get(called, 0.0))
        outcomes = {
            outcome_id: outcome.model_copy(update={"recipes": outcome.recipes | self._recipes(n)})
            for n, (outcome_id, outcome) in enumerate(self._one.outcomes.items())
        }
        between = OpenBetween(
            colourways={p: {c: list(w) for c, w in named.items()} for p, named in self.colourways.items()},
            colours={c: list(ways) for c, ways in self.colours.items()},
        )
        one = self._one.model_copy(update={"outcomes": outcomes, "between": between})
        unsure = unsure.model_copy(update={"settled": unsure.settled | {self._name: one}})
        changed = {"orders": orders, "products": products, "colours": colours, "uncertainty": unsure}
        return campaign.model_copy(update=changed)

    def _one_of(self, product: str, ways: Ways, part: str, barrel: int) -> str:
        of = self._colours_of(product, ways, part, barrel)
        return self._colour(of) if len(set(of)) > 1 else of[0]

    def _recipes(self, outcome: int) -> dict[str, Recipe]:
        return {
            called: Recipe(colour=ways[outcome]) for called, ways in self.colours.items() if ways[outcome] != ways[0]
        }

    def _open_colour(self, ways: Ways, kg: float) -> Colour:
        """Looks and costs as the one that is counted on. Its masterbatch is there when it is known which it is, and
        that one is there; bought by the gram, since it is bought with the rest of that colour."""
        known = first_moment(self._one.known)
        there = max([known, *(self._there(colour) for colour in set(ways))])
        on = there.date() if there.time() == time() else there
        return self._campaign.colours[ways[0]].model_copy(
            update={
                "same_as": ways[0],
                "stock_kg": 0.0,
                "arrivals": [Arrival(on=on, amount=round(OPEN_TWICE * kg + OPEN_MORE_KG, 3))],
                "lead_days": None,
                "bag_kg": 0.001,
                "min_order_kg": 0.0,
                "price_breaks": [],
            }
        )

    def _there(self, colour: str) -> datetime:
        """When there is any masterbatch of a colour, or what is ordered at the start is at the door."""
        bought, start = self._campaign.colours[colour], self._campaign.start
        if bought.stock_kg > 0:
            return start
        comes = [first_moment(arrival.on) for arrival in bought.arrivals]
        comes += [start + timedelta(days=bought.lead_days)] if bought.lead_days is not None else []
        return max(start, min(comes, default=start))

    def _masterbatch(self, orders: list[OrderLine], products: Mapping[str, Product]) -> dict[str, float]:
        """Kg of masterbatch of each open colour in the parts of all orders, whatever it then is."""
        found = dict.fromkeys(self.colours, 0.0)
        for product, colourway, units in _units(orders):
            made = products[product].colourways if product in products else {}  # said elsewhere
            for part, colours in made.get(colourway, {}).items():
                number = units * products[product].parts.get(part, 0)
                for barrel, colour in enumerate(colours):
                    if colour in found and part in self._campaign.parts:
                        percent = max(self._campaign.colours[one].let_down_percent for one in self.colours[colour])
                        grams = number * self._campaign.parts[part].barrels[barrel].mass_g
                        found[colour] += grams / 1000 * percent / 100
        return found


def _units(orders: list[OrderLine]) -> Iterator[tuple[str, str, int]]:
    """Product, colourway and number of the units of all lines."""
    for line in orders:
        for units in (line.units, line.extra_units):
            for product, chosen in units.items():
                for colourway in chosen:
                    yield product, colourway, line.count


def _called(ways: Ways, taken: set[str]) -> str:
    """`cream or moss`; numbered where that is taken."""
    words = " or ".join(dict.fromkeys(ways))[: LONGEST_NAME - 4].rstrip()
    called, n = words, 1
    while called in taken:
        n += 1
        called = f"{words} {n}"
    return called
