"""The cautions as data: what about, what to mind, who says so. Each text is closed by `caution`."""

from planner.campaign.families import DURACON
from planner.campaign.forbidden import SOURCE
from planner.dispatch.lifting import CLOSING
from planner.plan.document import Caution

ACETAL = (
    "POM (acetal) and PVC",
    "Never let POM (acetal) and PVC, or POM and a halogenated flame-retardant grade, meet in a barrel, hot runner, "
    "dryer or grinder: they decompose violently, and no purge makes it safe. The planner goes by the families, ids and "
    "first contents that the campaign gives: in the barrels, hot runners and named dryers it lists, none of these "
    "comes after the other. It knows nothing of grinders, regrind, hoppers, masterbatch carriers, work it does not "
    "list or what a barrel held before that: see to those yourself.",
    SOURCE,
)

UNKNOWN = (
    "The planner does not know what `{resin}` is made of: what fumes it gives off, what heat it stands, how long it "
    "may stay in the barrel and whether it must be dried stand on its data sheet. Read it before the first shot."
)
UNKNOWN_APART = " Keep it out of every barrel, hot runner, dryer and grinder that ever holds POM (acetal) or PVC."
UNKNOWN_SOURCE = "common practice: what is not known is treated as dangerous"

UNKNOWN_MELT = (
    "Nobody has said what barrel {barrel} of press `{name}` holds when `{tool}` comes to it, after others' work or at "
    "the start. The plan purges it by the dearest that it could be, {kg:.2f} kg. Ask whoever had it before you heat "
    "it: what is in it may not stand another resin's temperature, and acetal and PVC must never meet. Begin no hotter "
    "than it stands, and look at the first melt that comes out. If nobody knows, have the barrel stripped and cleaned."
)
UNKNOWN_HOT_RUNNER = (
    "Nobody has said what is in the hot runner of tool `{name}`, from trials or from before. The plan purges it by the "
    "dearest that it could be, {kg:.2f} kg through the tool. Ask whoever tried the tool before you heat it; if nobody "
    "knows, have it taken apart and cleaned."
)

MUST_DRY = (
    "The campaign does not dry `{resin}`. {family} is usually dried, {how}; moulded damp it gives splay, bubbles and "
    "brittle parts, and steam can spit from the nozzle. Say `drying_hours`, unless it comes dried and sealed."
)
DRYER_UNSAID = (
    "Nobody has said how much the dryer of `{resin}` holds (`dryer_kg`), so it was not checked that it dries as fast "
    "as the press draws."
)

UNATTENDED = (
    "Dryer `{dryer}` starts {times} when nobody is there or before the campaign begins, first on {first}: fill it "
    "while somebody is there and let its timer start it, never with its cut-out bridged; or start the press later."
)

CLAMP = (
    "Nobody has said what clamp force tool `{tool}` asks for, so it was not checked that its press can hold it shut "
    "({holds}). Work it out (projected area x cavity pressure; 250 cm2 at 300 bar are 750 kN) before the tool is "
    "mounted: a tool that opens under pressure sprays melt."
)
CLAMP_SOURCE = "common practice"

PURGING = (
    "purging",
    "Purging throws hot melt under pressure: face shield, heat-resistant gloves, long sleeves, purge guard closed, "
    "unit retracted, ventilation on, nobody in front of the nozzle. A hot runner is cleared through the closed tool, "
    "guards shut. A blocked nozzle is under pressure: nobody looks into it.",
    "OSHA and HSE guidance on plastics processing; hot runners and nozzles are common practice",
)

COMPOUND_ABOUT = "purging compound"
COMPOUND = (
    "Read its safety data sheet first. Purge it into the open with the unit retracted and nobody in front of the "
    "nozzle: face shield, heat-resistant gloves, long sleeves; ventilate, also while it soaks, for many compounds fume "
    "more than melt. Keep to its soak time and temperature; through a hot runner or a shut-off nozzle only if its "
    "supplier says so.",
    "OSHA and HSE guidance on plastics processing; soaking, hot runners and nozzles are common practice",
)
COMPOUND_SUPPLIER = "the maker's campaign, from the compound's safety data sheet"

FUMES = {
    "PVC": (
        "fumes of PVC",
        "Overheated PVC, like other chlorinated resins, gives off hydrogen chloride (HCl): ventilate at the nozzle and "
        "when purging.",
    ),
    "POM": ("fumes of POM", "Overheated acetal gives off formaldehyde: ventilate at the nozzle and when purging."),
    "ABS": ("fumes of ABS", "Hot ABS gives off styrene: ventilate at the nozzle and when purging."),
    "PS": ("fumes of PS", "Hot polystyrene gives off styrene: ventilate at the nozzle and when purging."),
    "FR": (
        "fumes of flame-retardant grades",
        "An overheated halogenated flame-retardant grade gives off hydrogen bromide or chloride (HBr, HCl): ventilate "
        "at the nozzle and when purging.",
    ),
}
FUMES_PRINTED = ("PVC", "POM", "ABS", "PS")
"""Those of the table of `FUMES_SOURCE`."""
FUMES_SOURCE = "HSE Plastics Processing Sheet 13, table 1"
FUMES_KNOWN = "common practice, from memory; the supplier's data sheet decides"

TOOL_CHANGE = (
    "tool change",
    "Lock out and tag the press before anyone reaches between the platens to change a tool; secure the tool to the "
    "hoist before the clamps come off.",
    "29 CFR 1910.147 (lock-out); local code",
)

DWELL_ABOUT = "POM in the barrel"
DWELL_SOURCE = DURACON

WORKING_TIME_SOURCE = "Directive 2003/88/EC, articles 3 and 6 (UK and EU); elsewhere the local rule"

LIFTING_SOURCE = "HSE L23 / INDG143 (a filter, not a limit); NIOSH lifting equation, DHHS (NIOSH) 94-110"

COLOUR_SOURCE = "common practice; the masterbatch supplier knows the grade"

DRYING_SOURCE = "common practice; the resin's data sheet says how long"


def caution(about: str, text: str, source: str) -> Caution:
    """A caution, closed by what comes first."""
    return Caution(about=about, text=text if text.endswith(CLOSING) else f"{text} {CLOSING}", source=source)
