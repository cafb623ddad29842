"""What the campaign knows of tiers, colourways and add-ons, and how a cell's words are matched to it."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property

from planner.campaign import Campaign

_MOST_COMPARED = 500
"""Different unknown words of one table that are compared with what is known."""


@dataclass(frozen=True)
class TierChoices:
    """A tier takes one colour choice for each of its units, in order.

    units: for each unit its product and the colourways on offer.
    """

    id: str
    units: tuple[tuple[str, frozenset[str]], ...]

    @property
    def choices(self) -> int:
        """How many colour choices an order of the tier makes."""
        return len(self.units)


@dataclass(frozen=True)
class Known:
    """Everything a cell may name. add_ons: ids that a column may count (pieces, or product/colourway)."""

    tiers: Mapping[str, TierChoices]
    colourways: frozenset[str]
    add_ons: frozenset[str]

    @cached_property
    def products(self) -> frozenset[str]:
        """Products that tiers hold or that are add-ons."""
        held = {product for tier in self.tiers.values() for product, _ in tier.units}
        return frozenset(held | {unit[0] for name in self.add_ons if (unit := self.unit_of(name))})

    def unit_of(self, add_on: str) -> tuple[str, str] | None:
        """Product and colourway of an add-on that is a unit; None for a piece. Names may hold a `/` themselves."""
        cuts = [cut for cut, mark in enumerate(add_on) if mark == "/" and add_on[cut + 1 :] in self.colourways]
        return (add_on[: cuts[0]], add_on[cuts[0] + 1 :]) if cuts else None

    @classmethod
    def of_campaign(cls, campaign: Campaign) -> "Known":
        """The tiers, colourways and possible add-ons of a campaign document."""
        offered = {p: frozenset(made.colourways) for p, made in campaign.products.items()}
        tiers = {
            name: TierChoices(name, tuple((p, offered[p]) for p, n in tier.units.items() for _ in range(n)))
            for name, tier in campaign.tiers.items()
        }
        units = {f"{p}/{c}" for p, colourways in offered.items() for c in colourways}
        return cls(tiers, frozenset().union(*offered.values()), frozenset(campaign.pieces) | frozenset(units))


def plain(text: str) -> str:
    """One spelling for many: case, accents, hyphens, underscores, double spaces, wide letters do not matter, nor signs
    that nobody sees (soft hyphens, marks of the direction of writing)."""
    if text.isascii():
        return " ".join(text.casefold().replace("_", " ").replace("-", " ").split())
    text = unicodedata.normalize("NFKD", text).casefold()
    if not text.isascii():
        text = "".join(c for c in text if not unicodedata.combining(c) and unicodedata.category(c) != "Cf")
    return " ".join(re.sub(r"[\s_\-‐-―]+", " ", text).split())


_CALLED = re.compile(
    r"^(?:(?:order|pledge|ref|reference|number|bestellung|bestellnummer|auftrag|commande|pedido|ordine|bestelling)\b"
    r"[ .:#]*|(?:no|nr|n[°º])[.:#] *#?|(?:no|nr) #?(?=[^ ]* ))+(?=.*\d)"
)
_BETWEEN = re.compile(r"(?<=[^\W\d_])[ ./]+(?=\d)|(?<=\d)[ ./]+(?=[^\W\d_])")
_ZEROS = re.compile(r"(?<=[^\W\d_])0+(?=\d)")


def order_key(number: str) -> str:
    """One spelling for the many in which people and programs write one order number: `#1001`, `'1001`, `001001` and
    `1001.0` are all `1001`; `BF-1001`, `bf1001`, `BF/01001` and `Order no. BF 1001` are all `bf1001`. Two numbers that
    differ in that alone are asked about, which is better than an order sent twice, or sent although it was paid back.
    """
    key = earlier_order_key(number.replace("№", "#"))
    if key.isdecimal():
        return key
    bare = _CALLED.sub("", key).rstrip(".,; ")
    return earlier_order_key(_ZEROS.sub("", _BETWEEN.sub("", bare))) or key


def earlier_order_key(number: str) -> str:
    """The spelling under which older versions remembered a number that is erased."""
    key = plain(number).lstrip("#'’` ")
    figures = key.removesuffix(".0")
    return (figures.lstrip("0") or figures) if figures.isdecimal() else key


class Names:
    """Finds the name a cell means: just so, or the only one in another spelling, or a wording said to mean it."""

    def __init__(self, ids: Iterable[str], same_as: Mapping[str, str] | None = None) -> None:
        self._ids = sorted(ids)
        alike = Counter(map(plain, self._ids))
        self._by_plain = {plain(name): name for name in self._ids if alike[plain(name)] == 1}
        for name in [name for spelling, name in self._by_plain.items() if "&" in spelling]:
            self._by_plain.setdefault(plain(name.replace("&", " and ")), name)
        for wording, name in (same_as or {}).items():
            if name not in self._ids:
                raise ValueError(f"{wording!r} cannot mean {name!r}: there is no such id")
            self._by_plain[plain(wording)] = name
        self._seen: dict[str, str | None] = {}
        self._near: dict[str, str | None] = {}

    def find(self, text: str) -> str | None:
        """The id, or None; never a near match."""
        if text not in self._seen:
            if len(self._seen) > 10_000:
                self._seen.clear()
            self._seen[text] = text if text in self._ids else self._by_plain.get(plain(text))
        return self._seen[text]

    def nearest(self, text: str) -> str | None:
        """The id whose name or wording is most like the text: to be asked about, never taken by itself.

        Looked for the first texts that ask, not for a table of nothing but unknown words: comparing takes long.
        """
        words = plain(text)[:80]
        if words not in self._near and len(self._near) < _MOST_COMPARED:
            near = get_close_matches(words, self._by_plain, n=1, cutoff=0.7)
            self._near[words] = self._by_plain[near[0]] if near else None
        return self._near.get(words)

    def remedy(self, text: str) -> str:
        """What to write instead, with the nearest known wording where there is one."""
        near = self.nearest(text)
        if near is not None:
            return f"did you mean {near}? Say so, or correct the cell"
        some = ", ".join(self._ids[:8]) + (", ..." if len(self._ids) > 8 else "")
        return f"write one of {some}, or say which of them it means"
