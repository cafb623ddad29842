"""Which colourway each unit of an order was chosen in, from one cell or several, however people write it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from api.uploads.cells import Spoiled
from api.uploads.known import Names, TierChoices
from api.uploads.listed import Unread, counted, in_two, pieces_of
from api.uploads.personal import shown

_ALL = re.compile(
    r"(?:all|both|each|every|everything|alles?|beide[sn]?|tous|toutes|todos|todas)\s+(?:in\s+|of\s+them\s+)?(.+)",
    re.I,
)
_LABEL = re.compile(r"([^:=]{1,60})[:=]\s*(.+)", re.DOTALL)
_ORDINAL = re.compile(r"(?:(?:unit|item|colou?r|choice|no\.?|nr\.?|number|#)\s*)?#?\d{1,3}(?:st|nd|rd|th|\.)?", re.I)
_BETWEEN_WORDS = frozenset({"in", "colour", "color", "the"})


@dataclass(frozen=True)
class Piece:
    """One piece of a cell. product: named beside the colour. colourway: None where nobody chose. units: how many;
    None: all that are left."""

    product: str | None
    colourway: str | None
    units: int | None = 1


class ColourCells:
    """Reads the colour cells of rows. separator: a mark of the maker's own between colours, besides the usual ones.
    one_for_all: one colour alone means all units of the order, where all come in it."""

    def __init__(
        self, colours: Names, products: Names, not_answered: Names, separator: str, one_for_all: bool = False
    ) -> None:
        self._colours, self._products, self._not_answered = colours, products, not_answered
        self._separator, self._one_for_all = separator, one_for_all
        self._seen: dict[str, list[Piece | None]] = {}

    def read(self, cells: Sequence[str], tier: TierChoices) -> tuple[str | None, ...]:
        """A colourway for each unit of the tier, None where it is not chosen yet. Raises Spoiled."""
        if len(cells) == tier.choices and all(self._is_one(cell) for cell in cells):
            return self._offered(tier, [None if self._open(cell) else self._colours.find(cell) for cell in cells])
        only = self._colours.find(cells[0]) if self._one_for_all and len(cells) == 1 else None
        if only is not None and in_all(tier, only):
            return (only,) * tier.choices
        pieces: list[Piece] = []
        for cell in cells:
            found = self._pieces(cell)
            if len(cells) > 1 or sum(piece is not None for piece in found) == tier.choices:
                found = [piece for piece in found if piece is not None] or [None]
            pieces += [piece or Piece(None, None) for piece in found]
        while pieces and pieces[-1].colourway is None and sum(_units(piece) for piece in pieces) > tier.choices:
            pieces.pop()
        return self._offered(tier, self._dealt(pieces, tier))

    def names_colours(self, cell: str) -> bool:
        """Whether all of a cell names colours, one at least."""
        try:
            return any(piece is not None and piece.colourway is not None for piece in self._pieces(cell))
        except Spoiled:
            return False

    def _is_one(self, cell: str) -> bool:
        return self._open(cell) or self._colours.find(cell) is not None

    def _open(self, text: str) -> bool:
        return not text or self._not_answered.find(text) is not None

    def _pieces(self, cell: str) -> list[Piece | None]:
        if self._open(cell):
            return [None]
        if cell not in self._seen:
            if len(self._seen) > 10_000:
                self._seen.clear()
            try:
                self._seen[cell] = pieces_of(cell, self._piece, self._separator)
            except Unread as unread:
                wording = unread.piece
                raise Spoiled(
                    f"{shown(wording)!r} is not a colourway", self._colours.remedy(wording), wording,
                    self._colours.nearest(wording),
                ) from None  # fmt: skip
        return self._seen[cell]

    def _piece(self, text: str) -> Piece | None:
        """What one piece says, or None."""
        if not text:
            return None
        if one := self._colour(text):
            return one
        for rest, units in counted(text):
            if one := self._colour(rest):
                return Piece(one.product, one.colourway, units)
        if (match := _ALL.fullmatch(text)) and (one := self._colour(match[1])):
            return Piece(one.product, one.colourway, None)
        return None

    def _colour(self, text: str) -> Piece | None:
        """`oat`, `planter: oat`, `oat planter`, `unit 1: oat`, or a wording of nobody having chosen."""
        if (found := self._colours.find(text)) is not None:
            return Piece(None, found)
        if self._not_answered.find(text) is not None:
            return Piece(None, None)
        if match := _LABEL.fullmatch(text):
            label, rest = match[1].strip(), match[2].strip()
            product = self._products.find(label)
            colour = self._colours.find(rest)
            if colour is not None and (product is not None or _ORDINAL.fullmatch(label)):
                return Piece(product, colour)
        words = re.sub(r"[()\[\]]", " ", text).split()
        for first, second in in_two(words, _BETWEEN_WORDS):
            product, colour = self._products.find(first), self._colours.find(second)
            if product is not None and colour is not None:
                return Piece(product, colour)
        return None

    def _dealt(self, pieces: Sequence[Piece], tier: TierChoices) -> list[str | None]:
        """Pieces that name their product go to its units, the others to what is left, in order."""
        chosen: list[str | None] = [None] * tier.choices
        free = list(range(tier.choices))
        for piece in [p for p in pieces if p.product is not None] + [p for p in pieces if p.product is None]:
            fitting = [at for at in free if piece.product in (None, tier.units[at][0])]
            wanted = len(fitting) if piece.units is None else piece.units
            if wanted > len(fitting):
                total = sum(_units(p) for p in pieces)
                if piece.product is not None:
                    raise Spoiled(
                        f"an order of {tier.id} holds {len(fitting)} more of {piece.product}, the row names {wanted}",
                        "check the tier, or map the rest as an add-on",
                    )
                raise Spoiled(
                    f"tier {tier.id} takes {tier.choices} choices, the row has {total}",
                    "check the tier, or clear the surplus choices",
                )
            for at in fitting[:wanted]:
                chosen[at] = piece.colourway
                free.remove(at)
        return chosen

    def _offered(self, tier: TierChoices, chosen: Sequence[str | None]) -> tuple[str | None, ...]:
        for (product, offered), colourway in zip(tier.units, chosen, strict=True):
            if colourway is not None and colourway not in offered:
                raise Spoiled(f"{product} does not come in {colourway}", f"choose {', '.join(sorted(offered))}")
        return tuple(chosen)


def in_all(tier: TierChoices, colourway: str) -> bool:
    """Whether an order of the tier holds several units, and all of them come in that colourway."""
    return tier.choices > 1 and all(colourway in offered for _, offered in tier.units)


def _units(piece: Piece) -> int:
    return 1 if piece.units is None else piece.units
