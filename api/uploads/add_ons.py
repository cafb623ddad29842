"""Add-ons written as text: `Extra saucer (oat) x2; leaflet`. Each piece is known, or the row is set aside."""

import re
from collections.abc import Mapping

from api.uploads.cells import MOST_OF_AN_ADD_ON, Spoiled
from api.uploads.known import Known, Names, plain
from api.uploads.listed import Unread, counted, in_two, pieces_of
from api.uploads.personal import shown

NOTHING = "nothing"
"""What a wording means that asks for nothing to be made or packed: a tip, a download."""
_NONE = frozenset({"none", "no", "n/a", "na", "nothing", "0", "no thanks", "no add ons", "keine", "aucun", "ninguno"})
_EXTRA = re.compile(r"(?:extra|additional|another|add[ -]?on|zusatzlich\w*|weitere?[rs]?)\s*:?\s+", re.IGNORECASE)
_BETWEEN_WORDS = frozenset({"in", "colour", "color", "the", "a", "an", "-"})


class AddOnTexts:
    """Reads text cells of add-ons.

    colours: with the maker's wordings. same_as: wording -> the add-on it means, or `nothing`.
    """

    def __init__(self, known: Known, colours: Names, same_as: Mapping[str, str], separator: str) -> None:
        words = {w: name for w, name in same_as.items() if name != NOTHING}
        self._nothing = {plain(w) for w, name in same_as.items() if name == NOTHING}
        self._names = Names(known.add_ons, words)
        self._colours = colours
        self._products = Names(known.products)
        self._known, self._separator = known, separator
        self._seen: dict[str, dict[str, int]] = {}

    def read(self, cell: str) -> dict[str, int]:
        """Add-on -> how many. Raises Spoiled for a piece that is none."""
        if not cell or cell in {"-", "–", "—"} or plain(cell) in _NONE | self._nothing:
            return {}
        if cell not in self._seen:
            if len(self._seen) > 10_000:
                self._seen.clear()
            self._seen[cell] = self._added(cell)
        return self._seen[cell]

    def names_some(self, cell: str) -> bool:
        """Whether all of a cell names add-ons, one at least."""
        try:
            return bool(self.read(cell))
        except Spoiled:
            return False

    def _added(self, cell: str) -> dict[str, int]:
        try:
            found = pieces_of(cell, self._piece, self._separator)
        except Unread as unread:
            wording = unread.piece
            raise Spoiled(
                f"{shown(wording)!r} is not an add-on", self._remedy(wording), wording, self._names.nearest(wording)
            ) from None
        total: dict[str, int] = {}
        for piece in found:
            if piece is not None and piece[1]:
                total[piece[0]] = total.get(piece[0], 0) + piece[1]
        total.pop(NOTHING, None)
        if any(number > MOST_OF_AN_ADD_ON for number in total.values()):
            raise Spoiled(f"more than {MOST_OF_AN_ADD_ON:,} of an add-on in one order", "check the number")
        return total

    def _remedy(self, wording: str) -> str:
        if self._products.find(_EXTRA.sub("", wording)) is not None:
            return "say in which colourway, e.g. `saucer oat`"
        return self._names.remedy(wording) + f"; `{NOTHING}` for what needs no part and no piece"

    def _piece(self, text: str) -> tuple[str, int] | None:
        if not text:
            return None
        if (name := self._name(text)) is not None:
            return name, 1
        for rest, number in counted(text):
            if (name := self._name(rest)) is not None:
                return name, number
        return None

    def _name(self, text: str) -> str | None:
        if plain(text) in self._nothing or plain(text) in _NONE:
            return NOTHING
        for wording in dict.fromkeys((text, _EXTRA.sub("", text))):
            if (name := self._names.find(wording)) is not None:
                return name
            words = re.sub(r"[()\[\]:=/]", " ", wording).split()
            for first, second in in_two(words, _BETWEEN_WORDS):
                product, colour = self._products.find(first), self._colours.find(second)
                if product is not None and colour is not None and f"{product}/{colour}" in self._known.add_ons:
                    return f"{product}/{colour}"
        return None
