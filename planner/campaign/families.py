"""Resin families: the closed vocabulary of the trade, and what is known of each. The one place for either.

Abbreviations follow ISO 1043-1. What a row does not know is None and must be treated as unknown, never as harmless;
each figure names its source, and those without a written one say that they are from memory or common practice.
"""

from dataclasses import dataclass
from typing import Literal

GUIDE = "plastic-industry.com, Injection Molding General Processing Guidelines (converted from degrees F)"
DURACON = "Polyplastics, Duracon POM moulding technology, section 2.1"
TABLES = "Misumi, tutorial 004, and a public table of drying"
MELTS = "plastikcity.co.uk, Material melt and mould temperatures"
ELASTOMERS = "atozplastics.com, Some aspects of injection moulding of TPE and TPV, table of melt temperatures by class"
COMMON = "common practice, from memory; the supplier's data sheet decides"

WORST_PVC = f"unknown: counted on for no more than soft PVC ({MELTS})"

STAYS_HOURS = 12.0
"""Hours a resin may stay in its dryer once dry, where its family has no figure of its own."""
KEEPS_SOURCE = (
    "common practice, from memory: in dry air and closed; polyamides and polyesters yellow or break down sooner than "
    "styrenics, polycarbonate and PMMA. In open air dried pellets are damp again within half an hour or so"
)

Danger = Literal["acetal", "halogen", "unsure"]
"""acetal, halogen: must never meet each other. unsure: nobody should find out next to acetal."""


@dataclass(frozen=True)
class UsualDrying:
    """How a family is usually dried: (fewest, most) hours at (lowest, highest) degrees C, and who says so.

    stays_hours: how long it may stay in a closed dryer once dry (`KEEPS_SOURCE`).
    """

    hours: tuple[float, float]
    degrees_c: tuple[int, int]
    source: str
    stays_hours: float = STAYS_HOURS


@dataclass(frozen=True)
class Family:
    """A resin family.

    aliases: other words for it, small letters and digits only. kin: the wider families it belongs to, a blend's those
    of its parts; none: it is its own. melt_c: usual melt temperatures, degrees C. surely_flows_c: where the hottest of
    those that the word may mean begins to, if that is above `melt_c`'s lowest. survives_c: the hottest it stands for
    the minutes of a changeover, degrees C; None: unknown, so count on no more than the top of `melt_c`. may_stand:
    whether it may be left in a barrel that is shut down; None: unknown. must_dry: whether it is always dried before it
    is moulded; None: unknown. heat_sensitive: whether it breaks down where it is held hot; None: unknown. soft: an
    elastomer. Where a row has no source of its own for the last four, they are common practice, from memory.
    """

    abbreviation: str
    aliases: str
    melt_c: tuple[int, int] | None = None
    melt_source: str = ""
    kin: tuple[str, ...] = ()
    danger: Danger | None = None
    surely_flows_c: int | None = None
    survives_c: int | None = None
    survives_source: str = ""
    may_stand: bool | None = None
    must_dry: bool | None = None
    drying: UsualDrying | None = None
    heat_sensitive: bool | None = None
    soft: bool = False

    @property
    def belongs_to(self) -> frozenset[str]:
        """The wide families two words for one resin must have in common."""
        return frozenset(self.kin or (self.abbreviation,))


FAMILIES: tuple[Family, ...] = (
    # Those that must never meet. Acetal stands 230 C for 10 minutes (DURACON); 250 C never.
    Family(
        "POM",
        "acetal polyacetal azetal polyazetal acetalharz acetalresin polyoxymethylene polyoxymethylen polyformaldehyde "
        "polymethyleneoxide pomc pomh pomk pomcopo pomhomo copolyacetal homopolyacetal acetalcopolymer "
        "acetalhomopolymer acetalic polyacetalic",
        (190, 210),
        f"{DURACON} (copolymer; homopolymer 205 to 225, from memory)",
        danger="acetal",
        survives_c=230,
        survives_source=f"{DURACON}: 10 minutes at 230 C, never 250",
        may_stand=False,
        must_dry=False,
        heat_sensitive=True,
    ),
    Family(
        "PVC",
        "vinyl polyvinyl vinylchloride polyvinylchloride polyvinylchlorid polychlorethene polychloroethene "
        "vinylpolymer vinylcompound vinylresin",
        (170, 190),
        f"{MELTS}; as soft PVC, which asks for the most and stands the least",
        danger="halogen",
        survives_c=190,
        survives_source=MELTS,
        may_stand=False,
        must_dry=False,
        heat_sensitive=True,
    ),
    Family(
        "PVC-U",
        "upvc rpvc hpvc pvcr pvch pvcrigid pvchard rigidpvc hardpvc unplasticisedpvc unplasticizedpvc rigidvinyl "
        "hardvinyl",
        (160, 205),
        f"{MELTS} (160 to 210; held to 205, from memory: it browns above)",
        kin=("PVC",),
        danger="halogen",
        survives_c=205,
        survives_source=COMMON,
        may_stand=False,
        must_dry=False,
        heat_sensitive=True,
    ),
    Family(
        "PVC-P",
        "ppvc fpvc spvc pvcf pvcs pvcsoft softpvc flexiblepvc pvcflexible plasticisedpvc plasticizedpvc flexiblevinyl "
        "softvinyl",
        (170, 190),
        MELTS,
        kin=("PVC",),
        danger="halogen",
        survives_c=190,
        survives_source=MELTS,
        may_stand=False,
        must_dry=False,
        heat_sensitive=True,
        soft=True,
    ),
    Family(
        "PVC-C",
        "cpvc chlorinatedpvc chlorinatedpolyvinylchloride pvchlorinated",
        (202, 215),
        "Modern Plastics Encyclopedia 99, page B-216 (202 to 227; held to 215, from memory)",
        kin=("PVC",),
        danger="halogen",
        may_stand=False,
        heat_sensitive=True,
    ),
    Family(
        "PVC+ABS",
        "pvcabs abspvc",
        kin=("PVC", "ABS"),
        danger="halogen",
        survives_c=190,
        survives_source=WORST_PVC,
        may_stand=False,
        heat_sensitive=True,
    ),
    Family(
        "PVC+PMMA",
        "pvcpmma pmmapvc",
        kin=("PVC", "PMMA"),
        danger="halogen",
        survives_c=190,
        survives_source=WORST_PVC,
        may_stand=False,
        heat_sensitive=True,
    ),
    Family(
        "PVDC",
        "polyvinylidenechloride vinylidenechloride",
        danger="halogen",
        survives_c=190,
        survives_source=WORST_PVC,
        may_stand=False,
        heat_sensitive=True,
    ),
    Family(
        "PE-C",
        "cpe pec chlorinatedpe chlorinatedpolyethylene",
        kin=("PE",),
        danger="halogen",
        survives_c=190,
        survives_source=WORST_PVC,
        heat_sensitive=True,
    ),
    Family(
        "VC/VAC",
        "vcvac pvcvac",
        kin=("PVC",),
        danger="halogen",
        survives_c=190,
        survives_source=WORST_PVC,
        may_stand=False,
        heat_sensitive=True,
    ),
    # Not to be tried next to acetal: they give off acids, or contain fluorine.
    Family("EVAC", "eva ethylenevinylacetate", (177, 232), GUIDE, danger="unsure", must_dry=False, soft=True),
    Family("PVDF", "polyvinylidenefluoride", (190, 240), COMMON, danger="unsure"),
    Family("FEP", "fluorinatedethylenepropylene", danger="unsure"),
    Family("PTFE", "polytetrafluoroethylene", danger="unsure"),
    # Polyolefins and styrenics.
    Family(
        "PP",
        "rpp polypropylene polypropylen polypropene pph ppc ppr ppb pphomo ppcopo pphomopolymer ppcopolymer hpp cpp",
        (204, 260),
        GUIDE,
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PE",
        "rpe polyethylene polyethylen polyathylen polyethene polythene",
        (182, 274),
        GUIDE,
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PE-HD",
        "pehd hdpe rhdpe highdensitypolyethylene highdensitype polyethylenehighdensity",
        (182, 274),
        GUIDE,
        kin=("PE",),
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PE-LD",
        "peld ldpe lowdensitypolyethylene lowdensitype polyethylenelowdensity",
        (182, 274),
        GUIDE,
        kin=("PE",),
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PE-LLD",
        "pelld lldpe linearlowdensitypolyethylene",
        (182, 274),
        GUIDE,
        kin=("PE",),
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PE-MD",
        "pemd mdpe mediumdensitypolyethylene",
        (182, 274),
        GUIDE,
        kin=("PE",),
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PS",
        "polystyrene polystyrol polystyren gpps psgp generalpurposepolystyrene crystalpolystyrene crystalps",
        (204, 249),
        GUIDE,
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "PS-HI",
        "pshi hips highimpactpolystyrene highimpactps impactpolystyrene",
        (204, 246),
        GUIDE,
        kin=("PS",),
        may_stand=True,
        must_dry=False,
        heat_sensitive=False,
    ),
    Family(
        "ABS",
        "acrylonitrilebutadienestyrene mabs rabs",
        (199, 282),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((2, 4), (82, 93), GUIDE, stays_hours=24),
        heat_sensitive=False,
    ),
    Family(
        "ASA",
        "acrylonitrilestyreneacrylate acrylicstyreneacrylonitrile",
        (252, 289),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((2, 4), (80, 85), COMMON, stays_hours=24),
    ),
    Family(
        "SAN",
        "styreneacrylonitrile",
        (204, 260),
        TABLES,
        must_dry=True,
        drying=UsualDrying((3, 3), (82, 82), TABLES, stays_hours=24),
    ),
    Family("SB", "sbc styrenebutadiene styrenebutadienecopolymer", (190, 230), COMMON, kin=("PS",), must_dry=False),
    # Engineering resins.
    Family(
        "PC",
        "polycarbonate polycarbonat",
        (271, 321),
        GUIDE,
        must_dry=True,
        drying=UsualDrying(
            (2, 4), (120, 120), "Covestro, data sheet MS005757 (longer in circulating air)", stays_hours=24
        ),
        heat_sensitive=False,
    ),
    Family(
        "PC+ABS",
        "pcabs abspc polycarbonateabs abspolycarbonate",
        (240, 280),
        "Bayer, processing advice for PC+ABS (decomposes at about 300 C)",
        kin=("PC", "ABS"),
        must_dry=True,
        drying=UsualDrying((2, 4), (100, 110), "Bayer, processing advice for PC+ABS", stays_hours=24),
    ),
    Family(
        "PC+ASA",
        "pcasa asapc",
        (240, 280),
        COMMON,
        kin=("PC", "ASA"),
        must_dry=True,
        drying=UsualDrying((3, 4), (90, 110), COMMON, stays_hours=24),
    ),
    Family(
        "PC+PBT",
        "pcpbt pbtpc",
        (250, 270),
        "maydi.si, processing of PC+PBT and PC+PET",
        kin=("PC", "PBT"),
        must_dry=True,
        drying=UsualDrying((3, 4), (100, 120), COMMON),
    ),
    Family(
        "PA",
        "polyamide polyamid nylon",
        (225, 288),
        f"{GUIDE}; a PA6 maker's processing page; not said which",
        surely_flows_c=271,
        must_dry=True,
        drying=UsualDrying((2, 16), (80, 90), "processing page of a PA6 maker (longer where it is wet)"),
    ),
    Family(
        "PA6",
        "polyamide6 polyamid6 nylon6 polycaprolactam",
        (225, 265),
        "processing page of a PA6 maker",
        kin=("PA",),
        must_dry=True,
        drying=UsualDrying((2, 16), (80, 90), "processing page of a PA6 maker (longer where it is wet)"),
    ),
    Family(
        "PA66",
        "polyamide66 polyamid66 nylon66",
        (271, 304),
        GUIDE,
        kin=("PA",),
        must_dry=True,
        drying=UsualDrying((2, 4), (80, 85), COMMON),
    ),
    Family(
        "PA11",
        "polyamide11 polyamid11 nylon11",
        (220, 250),
        MELTS,
        kin=("PA",),
        must_dry=True,
        drying=UsualDrying((4, 6), (80, 90), COMMON),
    ),
    Family(
        "PA12",
        "polyamide12 polyamid12 nylon12",
        (200, 250),
        COMMON,
        kin=("PA",),
        must_dry=True,
        drying=UsualDrying((4, 6), (80, 90), COMMON),
    ),
    Family(
        "PMMA",
        "acrylic polymethylmethacrylate acryl acrylicglass polymethacrylate",
        (216, 266),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((2, 3), (74, 93), GUIDE, stays_hours=24),
    ),
    Family(
        "PET",
        "polyethyleneterephthalate pete rpet polyethylenterephthalat",
        (271, 310),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((4, 6), (150, 170), COMMON),
    ),
    Family(
        "PETG",
        "copolyester petcopolyester glycolmodifiedpet",
        (220, 260),
        "dc.engr.scu.edu, design guide, PETG (220 to 290 by grade; held to 260, from memory)",
        kin=("PET",),
        must_dry=True,
        drying=UsualDrying((4, 6), (60, 70), COMMON),
    ),
    Family(
        "PBT",
        "polybutyleneterephthalate polybutylenterephthalat",
        (232, 254),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((2, 4), (93, 121), GUIDE),
    ),
    Family(
        "PPE",
        "ppo mppo mppe ppeps ppops modifiedppo modifiedppe polyphenyleneether polyphenyleneoxide",
        (271, 316),
        GUIDE,
    ),
    Family("PPS", "polyphenylenesulfide polyphenylenesulphide", (316, 343), GUIDE),
    Family("PSU", "polysulfone polysulphone", (343, 399), GUIDE, must_dry=True),
    Family("PEI", "polyetherimide", (354, 377), GUIDE, must_dry=True),
    Family("PEEK", "polyetheretherketone", (371, 399), GUIDE, must_dry=True),
    Family(
        "PLA",
        "polylactide polylacticacid",
        (190, 220),
        "salesplastics.com, PLA processing methods",
        must_dry=True,
        drying=UsualDrying((2, 4), (60, 90), COMMON),
    ),
    # Elastomers (ISO 18064).
    Family(
        "TPE",
        "thermoplasticelastomer thermoplasticrubber tpr",
        (177, 260),
        GUIDE,
        must_dry=True,
        drying=UsualDrying((2, 4), (77, 110), GUIDE),
        soft=True,
    ),
    Family(
        "TPS",
        "tpes sebs tpesebs tpssebs sbs styrenicelastomer styrenicblockcopolymer",
        (177, 204),
        "PolyOne, Processing styrenic block copolymer TPEs (SBS degrades above 204, SEBS above 238)",
        kin=("TPE",),
        soft=True,
    ),
    Family(
        "TPU",
        "tpeu thermoplasticpolyurethane thermoplasticurethane polyurethane urethane",
        (185, 220),
        "fastheatuk.com, TPU",
        kin=("TPE",),
        must_dry=True,
        drying=UsualDrying((2, 4), (80, 110), COMMON),
        heat_sensitive=True,
        soft=True,
    ),
    Family(
        "TPV", "tpev thermoplasticvulcanizate thermoplasticvulcanisate", (190, 230), ELASTOMERS, kin=("TPE",), soft=True
    ),
    Family(
        "TPO", "tpeo ppepdm thermoplasticolefin thermoplasticpolyolefin", (177, 260), GUIDE, kin=("TPE",), soft=True
    ),
    Family(
        "TPC",
        "tpee tpce copet thermoplasticcopolyester copolyesterelastomer",
        (200, 250),
        f"{ELASTOMERS} (180 to 260 by grade; held to 200 to 250, from memory)",
        kin=("TPE",),
        must_dry=True,
        drying=UsualDrying((2, 4), (100, 110), COMMON),
        soft=True,
    ),
    Family("TPA", "peba tpea polyetherblockamide", (200, 250), COMMON, kin=("TPE",), must_dry=True, soft=True),
    Family("LSR", "liquidsiliconerubber liquidsilicone silicone", must_dry=False, soft=True),
)
"""Every family the planner knows. A word that is none of these is unknown, and treated as such."""
