"""What the auditor makes of a resin's family and id: whether it may be acetal, and whether it may be halogenated.

Read anew, from a list of its own (ISO 1043-1 and the trade's common words). Fails closed: a resin is what
its words say only if every one of them is listed below; else it may be anything.
"""

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from planner.campaign.materials import Resin

_HARMLESS = """
    rpp rpe rhdpe rabs ppepdm pp polypropylene polypropylen polypropene polyathylen pph ppb ppr ppc hpp cpp pphomo
    ppcopo pphomopolymer ppcopolymer pe polyethylene polyethylen polyethene polythene hdpe pehd ldpe peld lldpe pelld
    mdpe pemd ps gpps psgp hips pshi polystyrene polystyrol polystyren sb sbc sbs styrenebutadiene
    styrenebutadienecopolymer abs mabs acrylonitrilebutadienestyrene asa acrylonitrilestyreneacrylate
    acrylicstyreneacrylonitrile san styreneacrylonitrile pc polycarbonate polycarbonat pcabs abspc pcasa asapc
    pcpbt pbtpc pa polyamide polyamid nylon pa6 polyamide6 polyamid6 nylon6 polycaprolactam pa66 polyamide66
    polyamid66 nylon66 pa11 polyamide11 polyamid11 nylon11 pa12 polyamide12 polyamid12 nylon12 pmma acrylic
    acryl acrylicglass polymethylmethacrylate polymethacrylate pet pete rpet polyethyleneterephthalate
    polyethylenterephthalat petg copolyester glycolmodifiedpet pbt polybutyleneterephthalate
    polybutylenterephthalat ppe ppo mppe mppo ppeps ppops polyphenyleneether polyphenyleneoxide pps
    polyphenylenesulfide polyphenylenesulphide psu polysulfone polysulphone pei polyetherimide peek
    polyetheretherketone pla polylactide polylacticacid tpe thermoplasticelastomer tpr thermoplasticrubber tps
    tpes sebs tpesebs tpssebs styrenicelastomer styrenicblockcopolymer tpu tpeu thermoplasticpolyurethane
    thermoplasticurethane polyurethane urethane tpv tpev thermoplasticvulcanizate thermoplasticvulcanisate tpo
    tpeo thermoplasticolefin thermoplasticpolyolefin tpc tpee tpce copet thermoplasticcopolyester
    copolyesterelastomer tpa tpea peba polyetherblockamide lsr silicone liquidsilicone liquidsiliconerubber
    highdensitypolyethylene highdensitype polyethylenehighdensity lowdensitypolyethylene lowdensitype
    polyethylenelowdensity linearlowdensitypolyethylene mediumdensitypolyethylene generalpurposepolystyrene
    crystalpolystyrene crystalps highimpactpolystyrene highimpactps impactpolystyrene polycarbonateabs
    abspolycarbonate petcopolyester modifiedppo modifiedppe
"""
HARMLESS = frozenset(_HARMLESS.split())
_DANGEROUS = """
    pom pomc pomh pomk pomcopo pomhomo acetal azetal polyazetal acetalharz acetalresin polyacetal
    copolyacetal homopolyacetal acetalcopolymer
    acetalhomopolymer acetalic polyacetalic polyoxymethylene polyoxymethylen polyformaldehyde polymethyleneoxide
    pvc pvcu upvc rpvc hpvc pvcr pvch pvcrigid pvchard rigidpvc hardpvc pvcp ppvc fpvc spvc pvcf pvcs pvcsoft
    softpvc pvcc cpvc vinyl polyvinyl vinylchloride polyvinylchloride polyvinylchlorid pvcabs abspvc pvcpmma
    pmmapvc pvdc polyvinylidenechloride cpe pec chlorinatedpe chlorinatedpvc vcvac pvcvac eva evac
    ethylenevinylacetate pvdf polyvinylidenefluoride fep ptfe polytetrafluoroethylene polychlorethene
    polychloroethene vinylpolymer vinylcompound vinylresin unplasticisedpvc unplasticizedpvc rigidvinyl
    hardvinyl flexiblepvc pvcflexible plasticisedpvc plasticizedpvc flexiblevinyl softvinyl
    chlorinatedpolyvinylchloride pvchlorinated vinylidenechloride chlorinatedpolyethylene
    fluorinatedethylenepropylene
"""
DANGEROUS = frozenset(_DANGEROUS.split())
_SAID_OF_GRADES = """
    resin resins polymer plastic thermoplastic material compound grade type lot batch pellets granules granulate
    copolymer homopolymer copo homo co block random heco impact high medium low linear flow density general
    purpose gp standard injection moulding molding virgin prime recycled regrind recyclate pcr pir bio based
    biobased food contact safe medical uv stabilised stabilized nucleated clarified antistatic filled unfilled
    reinforced glass fibre fiber carbon mineral talc chalk gf cf md td with and or of the a rigid hard soft
    flexible semi stiff tough toughened modified elastomer rubber shore free non natural nat clear transparent
    opaque white black grey gray red blue green yellow orange brown cream hffr nonfr unplasticised unplasticized
    plasticised plasticized chlorinated crystal
    hart weich schwarz weiss natur grun rot blau gelb grau braun transluzent glasklar glasfaser verstarkt talkum
    gefullt regenerat mahlgut rezyklat recyclat neuware kunststoff granulat spritzguss type typ hs bk nc lgf
"""
SAID_OF_GRADES = frozenset(_SAID_OF_GRADES.split())
FLAME = ("flam", "fire", "retard", "ul94", "halogen", "selfextinguishing")
FLAME_CLASSES = frozenset(("fr", "hffr", "nonfr", "v0", "v1", "v2", "5va", "5vb"))
ACETAL = ("acetal", "azetal", "oxymethyl", "oximethyl", "polyformaldehyde", "polymethyleneoxide")
HALOGEN = ("pvc", "vinyl", "chlor", "brom", "pvdc")
HALOGEN_NAMES = frozenset(("cpe", "pec", "vcvac"))
UNSURE = ("fluor", "pvdf", "ptfe", "fep")
UNSURE_NAMES = frozenset(("eva", "evac", "ethylenevinylacetate"))
OTHER_NYLONS = frozenset(
    ("pa4", "pa46", "pa410", "pa4t", "pa6t", "pa9t", "pa10t", "pa610", "pa612", "pa1010", "pa1012", "mxd6", "pamxd6")
)
MEASURES = frozenset(
    ("gf", "cf", "gb", "gk", "gm", "mf", "md", "td", "t", "m", "k", "sh", "mfi", "mfr", "a", "d", "mm", "g")
)
MOST_WORDS = 7
"""That may make up one name."""


class Reading(NamedTuple):
    """What a resin may be, for all the campaign says. unsure: nobody knows whether it is safe beside acetal."""

    acetal: bool
    halogenated: bool
    unsure: bool


def read_resin(name: str, resin: Resin) -> Reading:
    """Read a resin's id and fields."""
    return _read(name, resin.family, resin.halogenated_flame_retardant, resin.neither_acetal_nor_halogenated)


def read_words(text: str) -> Reading:
    """What the words of a name point to, whether or not the rest of it is understood."""
    words = words_of(text)
    return Reading(_acetal(words), _halogenated(words), _mentions(words, UNSURE, UNSURE_NAMES))


@lru_cache(maxsize=4096)
def _read(name: str, family: str, retardant: bool | None, neither: bool) -> Reading:
    texts = (words_of(name), words_of(family))
    acetal = any(map(_acetal, texts))
    halogenated = any(map(_halogenated, texts)) or retardant is True
    unsure = any(_mentions(text, UNSURE, UNSURE_NAMES) for text in texts)
    if retardant is None:
        halogenated = halogenated or any(map(_flame, texts))
    unsaid = family.strip().lower() in ("", "other")
    if not neither and not _understood(texts[0] if unsaid else texts[1]):
        return Reading(True, True, True)
    return Reading(acetal, halogenated, unsure)


def words_of(text: str) -> list[str]:
    """Words of small letters and digits: full-width ones made plain, accents and invisible marks left out."""
    folded = unicodedata.normalize("NFKD", text.translate({0x2122: None, 0xAE: None, 0xA9: None})).casefold()
    spaced = ""
    for c in unicodedata.normalize("NFKD", folded):
        if unicodedata.category(c) not in ("Mn", "Cf"):
            spaced += c if c.isalnum() else " "
    return spaced.split()


def runs_of(words: list[str]) -> Iterator[str]:
    """Neighbouring words written together, up to as many as make up one name."""
    for a in range(len(words)):
        for b in range(a + 1, min(len(words), a + MOST_WORDS) + 1):
            yield "".join(words[a:b])


def bare_word(word: str) -> str:
    """A word without a number or a filler behind it, and in the singular where that is a name."""
    listed = HARMLESS | DANGEROUS
    if word in listed:
        return word
    if word.endswith("s") and len(word) > 3 and word[:-1] in listed:
        return word[:-1]
    short = word.rstrip("0123456789")
    if short == word:
        return word
    for measure in sorted(MEASURES, key=len, reverse=True):
        if len(measure) > 1 and short.endswith(measure) and len(short) > len(measure):
            return bare_word(short[: -len(measure)])
    return short


def _understood(words: list[str]) -> bool:
    """Whether every word is listed, and one of them names a resin."""
    listed = HARMLESS | DANGEROUS
    if OTHER_NYLONS & set(runs_of(words)):
        return False

    def rest(here: int, named: bool) -> bool:
        if here == len(words):
            return named
        for there in range(min(len(words), here + MOST_WORDS), here, -1):
            run = "".join(words[here:there])
            if bare_word(run) in listed and rest(there, True):
                return True
            if _flame([run]) and rest(there, named):
                return True
        return _of_a_grade(words[here]) and rest(here + 1, named)

    return rest(0, False)


def _of_a_grade(word: str) -> bool:
    if word in SAID_OF_GRADES or _flame([word]):
        return True
    number = word.strip("abcdefghijklmnopqrstuvwxyz")
    before, _, behind = word.partition(number) if number else (word, "", "")
    return number.isdecimal() and len(number) <= 4 and {before, behind} <= MEASURES | {""}


def _acetal(words: list[str]) -> bool:
    runs = list(runs_of(words))
    return (
        any(mark in "".join(words) for mark in ACETAL)
        or any(word.startswith("pom") or word.endswith("pom") for word in words)
        or any(bare_word(run) in DANGEROUS and bare_word(run).startswith("pom") for run in runs)
    )


def _halogenated(words: list[str]) -> bool:
    return _mentions(words, HALOGEN, HALOGEN_NAMES)


def _mentions(words: list[str], marks: tuple[str, ...], names: frozenset[str]) -> bool:
    return any(mark in "".join(words) for mark in marks) or any(bare_word(run) in names for run in runs_of(words))


def _flame(words: list[str]) -> bool:
    return any(
        word in FLAME_CLASSES or word.startswith(FLAME) or (word[:2] == "fr" and word[2:].isdecimal())
        for word in runs_of(words)
    )
