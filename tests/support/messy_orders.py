"""Messy tables of orders, made from a seed: invented headings, and every kind of mess with what must come of it.

The truth of each row is known: what was ordered, and whether it is an order at all. A row that is `taken` must come out
as exactly that; one `aside` must not come out at all; whatever comes out, nothing refunded is among it.
"""

import csv
import io
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from api.uploads.known import Known, TierChoices
from api.uploads.mapping import ColumnMapping
from api.uploads.orders import read_orders
from api.uploads.tables import open_table

COLOURS = ("oat", "kelp", "night-sky", "salt-pepper")
SAUCER_COLOURS = ("oat", "kelp")
_PLANTER, _SAUCER = ("planter", frozenset(COLOURS)), ("saucer", frozenset(SAUCER_COLOURS))
KNOWN = Known(
    {
        "solo": TierChoices("solo", (_PLANTER,)),
        "pair": TierChoices("pair", (_PLANTER, _PLANTER)),
        "windowsill": TierChoices("windowsill", (_PLANTER, _PLANTER, _SAUCER)),
    },
    frozenset(COLOURS),
    frozenset({"leaflet", "felt-mat", *(f"planter/{c}" for c in COLOURS), *(f"saucer/{c}" for c in SAUCER_COLOURS)}),
)
HEADINGS = (
    "Supporter no", "Person", "Reach me at", "Bundle picked", "Chosen colours", "Also wanted", "How many",
    "Send to country", "Lives at", "Chosen on", "Where it stands", "Remarks", "Money back on",
)  # fmt: skip
REF, PERSON, MAIL, BUNDLE, CHOSEN, ALSO, MANY, COUNTRY, LIVES, ON, STANDS, REMARKS, BACK = HEADINGS
MAPPING = ColumnMapping(
    tier=BUNDLE,
    colours=(CHOSEN,),
    ref=REF,
    country=COUNTRY,
    count=MANY,
    add_on_texts=(ALSO,),
    status=STANDS,
    counts=("settled",),
    not_counted=("on its way",),
    wordings={
        "tier": {"Just the one": "solo", "Two of them": "pair"},
        "colour": {"Oatmeal": "oat", "Salt & Pepper": "salt-pepper", "Night, sky": "night-sky"},
        "add_on": {"A tip for you": "nothing", "Mat (felt)": "felt-mat"},
        "country": {"Home": "GB"},
    },
)
WORDS = {"oat": "Oat", "kelp": "Kelp", "night-sky": "Night Sky", "salt-pepper": "Salt & Pepper"}
BUNDLES = {"solo": "Just the one", "pair": "Two of them", "windowsill": "Windowsill"}


@dataclass
class Order:
    """One row, and what is true of it. fate: what must come of the row."""

    ref: str
    tier: str
    colourways: list[str | None]
    country: str
    add_ons: dict[str, int] = field(default_factory=dict)
    count: int = 1
    cells: dict[str, str] = field(default_factory=dict)
    fate: Literal["taken", "aside"] = "taken"
    void: bool = False
    kind: str = ""
    raw: str = ""

    @property
    def told(self) -> tuple[object, ...]:
        """What a line taken must say."""
        return (
            self.ref,
            self.tier,
            tuple(self.colourways),
            tuple(sorted(self.add_ons.items())),
            self.country,
            self.count,
        )


Mess = Callable[[Order, random.Random], None]
KINDS: dict[str, Mess] = {}


def _kind(mess: Mess) -> Mess:
    KINDS[mess.__name__] = mess
    return mess


def _written(order: Order) -> list[str]:
    return [WORDS[c] if c else "" for c in order.colourways]


def _joined(name: str, mark: str) -> None:
    def mess(order: Order, draw: random.Random) -> None:
        order.cells[CHOSEN] = mark.join(_written(order))

    mess.__name__ = f"joined_by_{name}"
    _kind(mess)


MARKS = {
    "comma": ", ", "semicolon": "; ", "slash": " / ", "bar": "|", "plus": " + ", "ampersand": " & ",
    "word_and": " and ", "line_break": "\n", "bullet": " • ", "dash": " - ", "word_und": " und ",
    "wide_comma": "，", "ideographic_comma": "、", "wide_semicolon": "；", "web_break": "<br>",
    "web_ampersand": " &amp; ",
}  # fmt: skip
for _name, _mark in MARKS.items():
    _joined(_name, _mark)


def _all_one(order: Order, draw: random.Random, tier: str = "pair") -> str:
    """The order becomes one of a tier with all units in one colour; gives that colour's wording."""
    order.tier = tier
    colour = draw.choice(SAUCER_COLOURS)
    order.colourways = [colour] * KNOWN.tiers[tier].choices
    order.cells[BUNDLE] = BUNDLES[tier]
    return WORDS[colour]


def _counted(name: str, text: str) -> None:
    def mess(order: Order, draw: random.Random) -> None:
        tier = draw.choice(("pair", "windowsill"))
        word = _all_one(order, draw, tier)
        order.cells[CHOSEN] = text.format(c=word, l=word.lower(), n=len(order.colourways))

    mess.__name__ = f"counted_{name}"
    _kind(mess)


NUMBERS = {
    "before": "{n}x {l}", "after": "{l} x{n}", "times_sign": "{n} × {c}", "bare": "{n} {c}", "brackets": "{c} ({n})",
    "colon": "{c}: {n}", "tight": "{n}x{l}", "pieces": "{n} pcs {c}",
}  # fmt: skip
for _name, _text in NUMBERS.items():
    _counted(_name, _text)


@_kind
def counted_and_another(order: Order, draw: random.Random) -> None:
    order.tier, order.colourways = "windowsill", ["night-sky", "night-sky", "kelp"]
    order.cells |= {BUNDLE: "windowsill", CHOSEN: "2x Night Sky, kelp"}


@_kind
def both_in_one_colour(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = f"both {_all_one(order, draw).lower()}"


@_kind
def all_in_one_colour(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = f"All in {_all_one(order, draw, 'windowsill')}"


def _for_windowsill(order: Order, draw: random.Random) -> tuple[str, str, str]:
    order.tier = "windowsill"
    order.cells[BUNDLE] = "windowsill"
    order.colourways = [draw.choice(COLOURS), draw.choice(COLOURS), draw.choice(SAUCER_COLOURS)]
    one, two, three = _written(order)
    return one, two, three


@_kind
def product_then_colour(order: Order, draw: random.Random) -> None:
    one, two, three = _for_windowsill(order, draw)
    order.cells[CHOSEN] = f"saucer: {three}; planter: {one}; planter: {two}"


@_kind
def colour_then_product(order: Order, draw: random.Random) -> None:
    one, two, three = _for_windowsill(order, draw)
    order.cells[CHOSEN] = f"{three} saucer, {one} planter, {two} planter"


@_kind
def product_with_brackets(order: Order, draw: random.Random) -> None:
    one, two, three = _for_windowsill(order, draw)
    order.cells[CHOSEN] = f"Planter ({one}) + Planter ({two}) + Saucer ({three})"


@_kind
def units_numbered(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = "; ".join(f"unit {n}: {word}" for n, word in enumerate(_written(order), 1))


@_kind
def capitals(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = order.cells[CHOSEN].upper()
    order.cells[BUNDLE] = order.cells[BUNDLE].upper()


@_kind
def spaces_and_hyphens(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = f"  {order.cells[CHOSEN].replace(' ', '  ')}\u00a0"
    order.cells[BUNDLE] = f" {order.cells[BUNDLE].replace(' ', '-')} "


@_kind
def curly_quotes(order: Order, draw: random.Random) -> None:
    order.cells[CHOSEN] = ", ".join(f"“{word}”" for word in _written(order))


@_kind
def the_makers_wording(order: Order, draw: random.Random) -> None:
    order.tier, order.colourways = "solo", ["oat"]
    order.cells |= {BUNDLE: "just the ONE", CHOSEN: "oatmeal"}


@_kind
def a_name_with_a_comma(order: Order, draw: random.Random) -> None:
    order.tier, order.colourways = "pair", ["night-sky", "kelp"]
    order.cells |= {BUNDLE: "pair", CHOSEN: "Night, sky, kelp"}


@_kind
def nothing_chosen(order: Order, draw: random.Random) -> None:
    order.colourways = [None] * len(order.colourways)
    order.cells[CHOSEN] = draw.choice(("", "-", "surprise me", "TBD", "Not answered yet"))


@_kind
def half_chosen(order: Order, draw: random.Random) -> None:
    order.tier, order.colourways = "pair", ["kelp", None]
    order.cells |= {BUNDLE: "pair", CHOSEN: draw.choice(("kelp", "kelp, ?", "kelp; tbd"))}


@_kind
def price_behind_the_bundle(order: Order, draw: random.Random) -> None:
    order.cells[BUNDLE] += draw.choice((" (£45)", " – €39,00", " 45.00 EUR")).replace("–", "")


@_kind
def country_in_words(order: Order, draw: random.Random) -> None:
    names = {"Deutschland": "DE", "U.S.A.": "US", "Home": "GB", "the Netherlands": "NL", "france": "FR", "at": "AT"}
    order.cells[COUNTRY] = draw.choice(list(names))
    order.country = names[order.cells[COUNTRY]]


@_kind
def count_with_marks(order: Order, draw: random.Random) -> None:
    order.count, order.cells[MANY] = draw.choice(
        ((1200, "1,200"), (1200, "1 200"), (2, "x2"), (3, "3 pcs"), (2, "2.0"))
    )


def _also(name: str, text: str, add_ons: dict[str, int]) -> None:
    def mess(order: Order, draw: random.Random) -> None:
        order.cells[ALSO], order.add_ons = text, dict(add_ons)

    mess.__name__ = f"add_ons_{name}"
    _kind(mess)


for _name, _text, _add_ons in (
    ("in_brackets", "Extra saucer (oat) x2", {"saucer/oat": 2}),
    ("two_kinds", "leaflet; Kelp saucer", {"leaflet": 1, "saucer/kelp": 1}),
    ("with_a_price", "Leaflet (+£2), extra planter night sky (+£18.50)", {"leaflet": 1, "planter/night-sky": 1}),
    ("that_are_a_tip", "A tip for you; 2x leaflet", {"leaflet": 2}),
    ("none", "no thanks", {}),
    ("by_wording", "3 × Mat (felt)", {"felt-mat": 3}),
    ("twice", "leaflet, leaflet", {"leaflet": 2}),
    ("salt_and_pepper", "salt & pepper planter & leaflet", {"planter/salt-pepper": 1, "leaflet": 1}),
):
    _also(_name, _text, _add_ons)


def _aside(name: str, void: bool = False, **cells: str) -> None:
    def mess(order: Order, draw: random.Random) -> None:
        order.cells |= {HEADING[key]: text for key, text in cells.items()}
        order.fate, order.void = "aside", void

    mess.__name__ = name
    _kind(mess)


HEADING = {"bundle": BUNDLE, "chosen": CHOSEN, "also": ALSO, "many": MANY, "country": COUNTRY, "stands": STANDS,
           "remarks": REMARKS, "back": BACK, "ref": REF}  # fmt: skip
for _name, _void, _cells in (
    ("refunded", True, {"stands": "Refunded"}),
    ("refunded_in_full", True, {"stands": " refunded in FULL "}),
    ("cancelled", True, {"stands": "Cancelled"}),
    ("charged_back", True, {"stands": "chargeback"}),
    ("annulled_abroad", True, {"stands": "storniert"}),
    ("partly_refunded", True, {"stands": "partly refunded"}),
    ("standing_unsaid", True, {"stands": ""}),
    ("standing_unheard_of", True, {"stands": "held for review"}),
    ("gone_already", True, {"stands": "On its way"}),
    ("cancelled_in_a_remark", True, {"remarks": "wrote in May: please cancel, money back"}),
    ("not_to_be_sent", True, {"remarks": "DO NOT SHIP"}),
    ("not_to_be_sent_curly", True, {"remarks": "please don’t ship!"}),
    ("refunded_in_wide_letters", True, {"remarks": "ＲＥＦＵＮＤＥＤ"}),
    ("refunded_with_a_soft_hyphen", True, {"remarks": "re\u00adfunded"}),
    ("refunded_in_polish", True, {"remarks": "zwrócono pieniądze"}),
    ("refunded_in_japanese", True, {"remarks": "5月3日に返金済み"}),
    ("cancelled_in_russian", True, {"remarks": "заказ отменён"}),
    ("status_in_swedish", True, {"stands": "återbetald"}),
    ("count_in_brackets", True, {"many": "(1)"}),
    ("row_of_sums", False, {"ref": "Subtotal", "many": "620"}),
    ("sums_without_a_number", False, {"ref": "", "many": "620"}),
    ("money_back_dated", True, {"back": "2027-05-03"}),
    ("refund_in_the_bundle", True, {"bundle": "Two of them - REFUNDED"}),
    ("refund_in_the_colours", True, {"chosen": "oat (cancelled)"}),
    ("colour_misspelt", False, {"bundle": "solo", "chosen": "oaat"}),
    ("one_colour_unknown", False, {"bundle": "pair", "chosen": "oat & mauve"}),
    ("colour_not_offered", False, {"bundle": "windowsill", "chosen": "oat, oat, night sky"}),
    ("too_many_colours", False, {"bundle": "solo", "chosen": "oat, kelp"}),
    ("too_many_counted", False, {"bundle": "pair", "chosen": "3x oat"}),
    ("bundle_unknown", False, {"bundle": "Balcony"}),
    ("bundle_missing", False, {"bundle": ""}),
    ("add_on_unknown", False, {"also": "leaflet and a lamp"}),
    ("add_on_without_colour", False, {"also": "extra saucer"}),
    ("country_missing", False, {"country": ""}),
    ("country_misspelt", False, {"country": "Nederlnad"}),
    ("count_of_none", False, {"many": "0"}),
    ("count_below_none", False, {"many": "-1"}),
    ("count_in_halves", False, {"many": "1,5"}),
    ("count_in_words", False, {"many": "a few"}),
    ("formula", False, {"chosen": "=B2"}),
    ("broken_letters", False, {"chosen": "o\ufffdt"}),
    ("someones_address_in_a_cell", False, {"bundle": "someone@example.org"}),
    ("reference_too_long", False, {"ref": "r" * 61}),
):
    _aside(_name, _void, **_cells)


@_kind
def a_cell_too_many(order: Order, draw: random.Random) -> None:
    order.fate, order.raw = "aside", "one,too,many"
    order.cells |= {LIVES: "1 Mill Lane", CHOSEN: "oat"}


@_kind
def cut_off(order: Order, draw: random.Random) -> None:
    order.fate, order.raw = "aside", "short"


def _repeated(name: str, second_is_void: bool, spelling: Callable[[str], str]) -> None:
    def mess(order: Order, draw: random.Random) -> None:
        order.raw = "repeat"
        if second_is_void:
            order.fate, order.void = "aside", True
        order.cells["repeat"] = spelling(order.ref)

    mess.__name__ = name
    _kind(mess)


_repeated("same_order_twice", False, str)
_repeated("refunded_further_down", True, str)
_repeated("refunded_in_another_spelling", True, lambda ref: f" {ref.lower()} ")
_repeated("same_order_with_a_hash", False, lambda ref: f"#{ref}")
_repeated("refunded_with_an_apostrophe", True, lambda ref: f"'{ref}")
_repeated("refunded_with_a_mark_of_direction", True, lambda ref: f"{ref}\u200e")
_repeated("taken_back_by_a_line", True, str)


@dataclass(frozen=True)
class MessyTable:
    """A file, and the truth. extra_rows: rows that are no order at all (totals, headings again), to be set aside."""

    content: bytes
    orders: list[Order]
    extra_rows: int


def messy_table(seed: int, rows: int = 2400) -> MessyTable:
    """A table in which every kind of mess comes up in turn, in an order drawn from the seed."""
    draw = random.Random(seed)
    kinds = list(KINDS)
    draw.shuffle(kinds)
    orders = []
    for n in range(rows):
        order = _clean(f"S-{n:05d}", draw)
        if draw.random() < 0.5 or n < len(kinds):
            order.kind = kinds[n % len(kinds)]
            KINDS[order.kind](order, draw)
        orders.append(order)
    return _file(orders, draw)


def _taken_back(order: Order) -> dict[str, str]:
    """What the second row of an order says of it."""
    if order.kind == "taken_back_by_a_line":
        return {MANY: "-1"}
    return {STANDS: "Refunded"} if order.void else {}


def _clean(ref: str, draw: random.Random) -> Order:
    tier = draw.choice(list(BUNDLES))
    colourways: list[str | None] = [draw.choice(sorted(offered)) for _, offered in KNOWN.tiers[tier].units]
    order = Order(ref, tier, colourways, draw.choice(("GB", "DE", "US", "FR")))
    order.cells = {
        REF: ref, PERSON: f"Person {draw.randrange(9999)}", MAIL: f"p{draw.randrange(9999)}@example.org",
        BUNDLE: BUNDLES[tier], CHOSEN: ", ".join(_written(order)), ALSO: "", MANY: "1", COUNTRY: order.country,
        LIVES: draw.choice(("1 Mill Lane", "2 Mill Lane, Flat 3", 'The "Old" Mill', "4 Mill Lane\nBack", "Mühlweg 5")),
        ON: "2027-03-01", STANDS: draw.choice(("Settled", "settled", "SETTLED ")),
        REMARKS: draw.choice(("", "", "a gift", "ring twice")), BACK: draw.choice(("", "", "no", "-")),
    }  # fmt: skip
    return order


def _file(orders: list[Order], draw: random.Random) -> MessyTable:
    columns = list(HEADINGS)
    draw.shuffle(columns)
    delimiter = draw.choice(",;\t")
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=draw.choice(("\n", "\r\n")))
    if draw.random() < 0.5:
        writer.writerow(["Orders of the spring campaign"])
        writer.writerow([])
    writer.writerow(columns)
    extra = 0
    later: list[list[str]] = []
    for order in orders:
        cells = [order.cells[name] for name in columns]
        if order.raw == "one,too,many":
            cells.append("and more")
        elif order.raw == "short":
            cells = [order.ref]
        writer.writerow(cells)
        if order.raw == "repeat":
            again = order.cells | {REF: order.cells["repeat"]} | _taken_back(order)
            later.append([again[name] for name in columns])
        if draw.random() < 0.01:
            writer.writerow([""] * draw.randrange(0, len(columns)))
        if draw.random() < 0.002:
            writer.writerow(columns)
            extra += 1
    writer.writerows(later)
    writer.writerow(["Total", *[""] * (len(columns) - 2), str(len(orders))])
    text = out.getvalue()
    encoding = draw.choice(("utf-8", "utf-8-sig", "utf-16"))
    return MessyTable(text.encode(encoding), orders, extra + len(later) + 1)


def held(table: MessyTable) -> None:
    """Reads the table and holds it to its truth."""
    got = read_orders(open_table(io.BytesIO(table.content)), MAPPING, KNOWN)
    assert got.rows == len(table.orders) + table.extra_rows == len(got.lines) + len(got.set_aside)
    places = [line.row for line in got.lines] + [aside.row for aside in got.set_aside]
    assert len(places) == len(set(places))
    taken = {line.ref: line for line in got.lines}
    assert len(taken) == len(got.lines)
    for order in table.orders:
        line = taken.pop(order.cells[REF], None)
        if order.fate == "aside":
            assert line is None, (order.kind, order.cells)
        else:
            assert line is not None, (
                order.kind,
                order.cells,
                [a for a in got.set_aside if a.cells.get("ref") == order.ref],
            )
            said = (line.ref, line.tier, line.colourways, tuple(sorted(line.add_ons.items())), line.country, line.count)
            assert said == order.told, (order.kind, order.cells)
    assert taken == {}
    assert "@" not in repr(got)
    assert "Mill" not in repr(got)
