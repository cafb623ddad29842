"""What a text says of a resin: which families it names, and whether all of it was understood.

The vocabulary is closed. Case, width, accents, hyphens, blanks, brackets and plurals make no difference; a word that is
neither a family nor something usually said of a grade is not understood, and what is not understood may be anything.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from planner.campaign.families import FAMILIES, Family

_GRADE_WORDS = """
    resin resins polymer plastic thermoplastic material compound grade pellets granules granulate copolymer
    homopolymer copo homo co block random heco impact high medium low linear flow density general purpose gp
    standard injection moulding molding virgin prime recycled regrind recyclate pcr pir bio based biobased food
    contact safe medical uv stabilised stabilized nucleated clarified antistatic filled unfilled reinforced
    glass fibre fiber carbon mineral talc chalk gf cf md td with and or of the a rigid hard soft flexible semi
    stiff tough toughened modified elastomer rubber shore lot batch free non type natural nat clear transparent
    opaque white black grey gray red blue green yellow orange brown cream unplasticised unplasticized
    plasticised plasticized chlorinated crystal
    hart weich schwarz weiss natur grun rot blau gelb grau braun transluzent glasklar glasfaser verstarkt talkum
    gefullt regenerat mahlgut rezyklat recyclat neuware kunststoff granulat spritzguss type typ hs bk nc lgf
"""
GRADE_WORDS = frozenset(_GRADE_WORDS.split())
"""Said of a grade without changing its family, in English and German. Colours too, for ids such as `pp-black`."""

FILLER = re.compile(r"(gf|cf|gb|gk|gm|mf|md|td|t|m|k|sh|mfi|mfr)?\d{1,4}(a|d|mm|g|gf|cf|td)?")
"""A filler by ISO 1043-2 with its share, a hardness, or just a number."""
FILLED = re.compile(r"(.*?[a-z]\d{0,2})((?:gf|cf|gb|gk|gm|mf|md|td)\d{1,2})")
NUMBERED = re.compile(r"([a-z]{2,})\d{1,4}")
FLAME = re.compile(r"(hf|non)?fr\d{0,2}|flam\w*|fire|retard\w*|v[012]|5v[ab]|ul94|halogen\w*|selfextinguishing")
HALOGENATED = re.compile(r"chlor|brom|pvc|vinyl")
FLUORINATED = re.compile(r"fluor|ptfe")
ACETAL = re.compile(r"a[cz]etal|ox[yi]methyl")
ACETAL_WORD = re.compile(r"pom\w*|\w*pom")
OTHER_NYLONS = frozenset(
    ("pa4", "pa46", "pa410", "pa4t", "pa6t", "pa9t", "pa10t", "pa610", "pa612", "pa1010", "pa1012", "mxd6", "pamxd6")
)
"""Polyamides that melt elsewhere than those of the table: their number is no number of a grade."""
LONGEST = 7
"""Words that may make up one name: `linear low density poly ethylene`."""


def _vocabulary() -> dict[str, Family]:
    known: dict[str, Family] = {}
    for family in FAMILIES:
        for word in ["".join(words(family.abbreviation)), *family.aliases.split()]:
            if known.setdefault(word, family) is not family:
                raise ValueError(f"`{word}` stands for {known[word].abbreviation} and {family.abbreviation}")
    return known


@dataclass(frozen=True)
class Said:
    """What a text says of a resin.

    families: named in it, in order. whole: a family is named and every word was understood. acetal, halogen, flame,
    unsure: something in it says so, even in part of a word.
    """

    families: tuple[Family, ...]
    whole: bool
    acetal: bool
    halogen: bool
    flame: bool
    unsure: bool


def words(text: str) -> list[str]:
    """The words of a text in small letters without accents, full-width letters as plain ones."""
    plain = "".join(c for c in text if c not in "®™©")
    folded = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", plain).casefold())
    kept = "".join(c for c in folded if unicodedata.category(c) not in ("Mn", "Cf"))
    return re.findall(r"[^\W_]+", kept)


VOCABULARY = _vocabulary()


@lru_cache(maxsize=4096)
def said_by(text: str) -> Said:
    """Read a family field, an id or a name: a workshop's campaigns say the same ones over and over."""
    found = words(text)
    families, missed = _read(tuple(found))
    squashed = "".join(found)
    dangers = {family.danger for family in [*families, *_anywhere(found)]}
    return Said(
        families=tuple(dict.fromkeys(families)),
        whole=not missed and bool(families) and not OTHER_NYLONS & set(_spans(found)),
        acetal="acetal" in dangers or bool(ACETAL.search(squashed)) or any(map(ACETAL_WORD.fullmatch, found)),
        halogen="halogen" in dangers or bool(HALOGENATED.search(squashed)),
        flame=any(FLAME.fullmatch(word) for word in _spans(found)),
        unsure="unsure" in dangers or bool(FLUORINATED.search(squashed)),
    )


def _read(found: tuple[str, ...]) -> tuple[list[Family], int]:
    """(families named in order, words not understood): read so that the fewest are missed, the longest names first."""
    best: list[tuple[int, list[Family]]] = [(0, [])]
    for here in range(len(found) - 1, -1, -1):
        behind = best[-1]
        choices = [(behind[0] + (not _of_a_grade(found[here])), behind[1])]
        for length in range(1, min(LONGEST, len(found) - here) + 1):
            word = "".join(found[here : here + length])
            family = _named(word)
            missed, others = best[len(found) - here - length]
            if family is not None:
                choices.append((missed, [family, *others]))
            elif FLAME.fullmatch(word):
                choices.append((missed, others))
        best.append(min(reversed(choices), key=lambda choice: choice[0]))
    missed, families = best[-1]
    return families, missed


def _named(word: str) -> Family | None:
    """The family a word names, in the plural, with a number behind it (`pp2`) or a filler (`pa66gf30`) too."""
    if word in VOCABULARY:
        return VOCABULARY[word]
    if len(word) > 3 and word.endswith("s") and word[:-1] in VOCABULARY:
        return VOCABULARY[word[:-1]]
    filled = FILLED.fullmatch(word)
    if filled is not None and filled.group(1) != word:
        return _named(filled.group(1))
    numbered = NUMBERED.fullmatch(word)
    return VOCABULARY.get(numbered.group(1)) if numbered is not None else None


def _anywhere(found: list[str]) -> list[Family]:
    """Every family whose name stands anywhere, also inside a longer one."""
    return [family for word in _spans(found) if (family := _named(word)) is not None]


def _spans(found: list[str]) -> list[str]:
    """Neighbouring words written together."""
    return ["".join(found[a:b]) for a in range(len(found)) for b in range(a + 1, min(a + LONGEST, len(found)) + 1)]


def _of_a_grade(word: str) -> bool:
    return word in GRADE_WORDS or bool(FILLER.fullmatch(word) or FLAME.fullmatch(word))
