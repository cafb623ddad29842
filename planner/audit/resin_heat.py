"""What the auditor knows of a resin's heat (A5): its melt range, what it stands, whether it may be left to cool.

Printed anew, as suppliers' guides and common practice have it (their names stand with the campaign's own table); words
are read by `resin_reading`. A resin that is not listed, or of which two are named, is unknown: it stands no more than
acetal does, and nothing is known of its standing.
"""

from functools import lru_cache
from typing import NamedTuple

from planner.audit.resin_reading import Reading, bare_word, read_resin, read_words, runs_of, words_of
from planner.campaign import Campaign
from planner.campaign.materials import Resin

PRINTED = """
    pom 190 210 230 never : acetal polyacetal azetal polyazetal acetalharz acetalresin polyoxymethylene
        polyoxymethylen polyformaldehyde polymethyleneoxide pomc pomh pomk pomcopo pomhomo copolyacetal
        homopolyacetal acetalcopolymer acetalhomopolymer acetalic polyacetalic
    pvc 170 190 190 never : vinyl polyvinyl vinylchloride polyvinylchloride polyvinylchlorid polychlorethene
        polychloroethene vinylpolymer vinylcompound vinylresin
    pvcu 160 205 205 never of pvc : upvc rpvc hpvc pvcr pvch pvcrigid pvchard rigidpvc hardpvc unplasticisedpvc
        unplasticizedpvc rigidvinyl hardvinyl
    pvcp 170 190 190 never of pvc : ppvc fpvc spvc pvcf pvcs pvcsoft softpvc flexiblepvc pvcflexible
        plasticisedpvc plasticizedpvc flexiblevinyl softvinyl
    pvcc 202 215 - never of pvc : cpvc chlorinatedpvc chlorinatedpolyvinylchloride pvchlorinated
    pvcabs - - 190 never : pvcabs abspvc
    pvcpmma - - 190 never : pvcpmma pmmapvc
    pvdc - - 190 never : polyvinylidenechloride vinylidenechloride
    pec - - 190 never of pe : cpe pec chlorinatedpe chlorinatedpolyethylene
    vcvac - - 190 never of pvc : vcvac pvcvac
    evac 177 232 - unknown : eva ethylenevinylacetate
    pvdf 190 240 - unknown : polyvinylidenefluoride
    fep - - - unknown : fluorinatedethylenepropylene
    ptfe - - - unknown : polytetrafluoroethylene
    pp 204 260 - stands : rpp polypropylene polypropylen polypropene pph ppc ppr ppb pphomo ppcopo pphomopolymer
        ppcopolymer hpp cpp
    pe 182 274 - stands : rpe polyethylene polyethylen polyathylen polyethene polythene
    pehd 182 274 - stands of pe : pehd hdpe rhdpe highdensitypolyethylene highdensitype polyethylenehighdensity
    peld 182 274 - stands of pe : peld ldpe lowdensitypolyethylene lowdensitype polyethylenelowdensity
    pelld 182 274 - stands of pe : pelld lldpe linearlowdensitypolyethylene
    pemd 182 274 - stands of pe : pemd mdpe mediumdensitypolyethylene
    ps 204 249 - stands : polystyrene polystyrol polystyren gpps psgp generalpurposepolystyrene
        crystalpolystyrene crystalps
    pshi 204 246 - stands of ps : pshi hips highimpactpolystyrene highimpactps impactpolystyrene
    abs 199 282 - unknown : acrylonitrilebutadienestyrene mabs rabs
    asa 252 289 - unknown : acrylonitrilestyreneacrylate acrylicstyreneacrylonitrile
    san 204 260 - unknown : styreneacrylonitrile
    sb 190 230 - unknown of ps : sbc styrenebutadiene styrenebutadienecopolymer
    pc 271 321 - unknown : polycarbonate polycarbonat
    pcabs 240 280 - unknown : pcabs abspc polycarbonateabs abspolycarbonate
    pcasa 240 280 - unknown : pcasa asapc
    pcpbt 250 270 - unknown : pcpbt pbtpc
    pa 225 288 - unknown : polyamide polyamid nylon
    pa6 225 265 - unknown of pa : polyamide6 polyamid6 nylon6 polycaprolactam
    pa66 271 304 - unknown of pa : polyamide66 polyamid66 nylon66
    pa11 220 250 - unknown of pa : polyamide11 polyamid11 nylon11
    pa12 200 250 - unknown of pa : polyamide12 polyamid12 nylon12
    pmma 216 266 - unknown : acrylic polymethylmethacrylate acryl acrylicglass polymethacrylate
    pet 271 310 - unknown : polyethyleneterephthalate pete rpet polyethylenterephthalat
    petg 220 260 - unknown of pet : copolyester petcopolyester glycolmodifiedpet
    pbt 232 254 - unknown : polybutyleneterephthalate polybutylenterephthalat
    ppe 271 316 - unknown : ppo mppo mppe ppeps ppops modifiedppo modifiedppe polyphenyleneether
        polyphenyleneoxide
    pps 316 343 - unknown : polyphenylenesulfide polyphenylenesulphide
    psu 343 399 - unknown : polysulfone polysulphone
    pei 354 377 - unknown : polyetherimide
    peek 371 399 - unknown : polyetheretherketone
    pla 190 220 - unknown : polylactide polylacticacid
    tpe 177 260 - unknown : thermoplasticelastomer thermoplasticrubber tpr
    tps 177 204 - unknown of tpe : tpes sebs tpesebs tpssebs sbs styrenicelastomer styrenicblockcopolymer
    tpu 185 220 - never of tpe : tpeu thermoplasticpolyurethane thermoplasticurethane polyurethane urethane
    tpv 190 230 - unknown of tpe : tpev thermoplasticvulcanizate thermoplasticvulcanisate
    tpo 177 260 - unknown of tpe : tpeo ppepdm thermoplasticolefin thermoplasticpolyolefin
    tpc 200 250 - unknown of tpe : tpee tpce copet thermoplasticcopolyester copolyesterelastomer
    tpa 200 250 - unknown of tpe : peba tpea polyetherblockamide
    lsr - - - unknown : liquidsiliconerubber liquidsilicone silicone
"""
"""A family a row: its word, lowest and highest melt temperature and the hottest it stands for minutes (degrees C; -:
unknown), whether it may stand cold (stands, never, unknown), the wider family it is one of; behind the colon other
words for it. A row goes on where it is indented further."""

NYLON_SURELY_FLOWS = 271.0
"""Degrees C at which nylon flows whichever it is (PA66), where what it meets may break down."""

UNKNOWN_PVC_STANDS = 190.0
"""Degrees C counted on for a resin of which only that it has to do with PVC is understood: what soft PVC stands."""

UNKNOWN_STANDS = 230.0
"""Degrees C counted on for a resin of which nothing is known: what acetal stands (Polyplastics Duracon, 2.1)."""


class Row(NamedTuple):
    """A line of the table. low, high, stands: degrees C. cold: stands, never or unknown. wider: a family or nothing."""

    word: str
    low: float | None
    high: float | None
    stands: float | None
    cold: str
    wider: str


class Heat(NamedTuple):
    """Of a resin of the campaign, degrees C. low, high: None where unknown."""

    low: float | None
    high: float | None
    stands: float


def _rows() -> dict[str, Row]:
    joined = PRINTED.replace("\n        ", " ").strip().splitlines()
    found: dict[str, Row] = {}
    for line in joined:
        head, _, aliases = line.partition(" : ")
        word, low, high, stands, cold, *wider = head.split()
        figures = [None if figure == "-" else float(figure) for figure in (low, high, stands)]
        row = Row(word, figures[0], figures[1], figures[2], cold, wider[1] if wider else "")
        found |= dict.fromkeys([word, *aliases.split()], row)
    return found


TABLE = _rows()


def _row(name: str, resin: Resin) -> Row | None:
    """The one family the resin is said to be; None: unknown, or several."""
    if all(read_resin(name, resin)) and not resin.neither_acetal_nor_halogenated:
        return None
    by_id, by_field = _named(name), _named(resin.family)
    if resin.family.strip().lower() in ("", "other"):
        by_field = by_id
    if len(by_field) != 1:
        return None
    (row,) = by_field
    narrower = [one for one in by_id if one.wider == row.word]
    return narrower[0] if len(by_id) == 1 and narrower else row


@lru_cache(maxsize=4096)
def _named(text: str) -> frozenset[Row]:
    """Families named in a text, the longest names first."""
    left, found = words_of(text), set[Row]()
    while left:
        long = next((run for run in sorted(runs_of(left), key=len, reverse=True) if bare_word(run) in TABLE), None)
        if long is None:
            break
        found.add(TABLE[bare_word(long)])
        at = next((a, b) for a in range(len(left)) for b in range(a + 1, len(left) + 1) if "".join(left[a:b]) == long)
        left = left[: at[0]] + left[at[1] :]
    return frozenset(found)


def speaks_of(name: str, resin: Resin) -> Reading:
    """What the words of a resin point to, where not all of them are understood."""
    both = read_words(name), read_words(resin.family)
    return Reading(*(any(one) for one in zip(*both, strict=True)))


def family_word(name: str, resin: Resin) -> str:
    """The table's word for the family a resin is said to be; "": unknown."""
    row = _row(name, resin)
    return row.word if row else ""


def family_words(name: str, resin: Resin) -> set[str]:
    """The same with the wider family it is one of; empty: unknown."""
    row = _row(name, resin)
    return {word for word in (row.word, row.wider) if word} if row else set()


def heat(campaign: Campaign, name: str) -> Heat:
    """The campaign's figures before the table's; what acetal and PVC stand is not raised by anyone."""
    resin = campaign.resins.get(name)
    if resin is None:
        return Heat(None, None, UNKNOWN_STANDS)
    row = _row(name, resin)
    printed = (row.low, row.high) if row else (None, None)
    low, high = resin.melt_c or printed
    limits = [limit for limit in (resin.survives_c, row.stands if row else None) if limit is not None]
    stands = resin.survives_c if resin.survives_c is not None else row.stands if row else None
    if row is not None and row.cold == "never" and limits:
        stands = min(limits)
    if speaks_of(name, resin).halogenated and row is None:
        stands = min(stands or UNKNOWN_PVC_STANDS, UNKNOWN_PVC_STANDS)
    if low is None:
        return Heat(None, None, min(stands or UNKNOWN_STANDS, UNKNOWN_STANDS))
    return Heat(low, high, stands or high or UNKNOWN_STANDS)


def between(campaign: Campaign, one: str, other: str) -> tuple[float, float]:
    """Degrees C from which both flow, and up to which neither breaks down; the wrong way round: no heat suits both."""
    a, b = heat(campaign, one), heat(campaign, other)
    return max(_flows(campaign, one, other, a), _flows(campaign, other, one, b)), min(a.stands, b.stands)


def meet(campaign: Campaign, one: str, other: str) -> bool:
    """Whether some heat lets both flow and breaks neither down."""
    least, most = between(campaign, one, other)
    return one == other or least <= most


def _flows(campaign: Campaign, name: str, beside: str, of: Heat) -> float:
    """Where a resin flows, beside another that may break down wherever it may have to."""
    resin, near = campaign.resins.get(name), campaign.resins.get(beside)
    nylon = resin is not None and resin.melt_c is None and family_word(name, resin) == "pa"
    row = _row(beside, near) if near is not None else None
    unknown = row is None or (row.low is None and near is not None and near.melt_c is None)
    breaks = row is not None and row.cold == "never"
    return NYLON_SURELY_FLOWS if nylon and (unknown or breaks) else of.low or 0.0


def must_go(campaign: Campaign, name: str) -> bool:
    """Whether it must not be left in a barrel that is shut down."""
    resin = campaign.resins[name]
    reading, row = read_resin(name, resin), _row(name, resin)
    if (reading.acetal or reading.halogenated) and not all(reading):
        return True
    if row is None and any(speaks_of(name, resin)[:2]):
        return True
    if resin.stands_cold is not None:
        return not resin.stands_cold
    return row is not None and row.cold == "never"


def may_stay(campaign: Campaign, name: str) -> bool:
    """Whether it is known that it may be left in a barrel that is shut down."""
    resin = campaign.resins[name]
    row = _row(name, resin)
    said = resin.stands_cold if resin.stands_cold is not None else row is not None and row.cold == "stands"
    return said and not must_go(campaign, name)
