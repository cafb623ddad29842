"""The pot workshop under names as people type them: marks that stand between names elsewhere, two that differ only in
capitals, other scripts, from right to left, pictures, very long.
"""

from typing import Any

from api.pages.form_changes import with_names
from planner.campaign import Campaign
from planner.reading import read
from tests.support.pot_campaign import pot_campaign

LONG = "Underside lid for the tall pot, second edition, with the little feet on it (new)"
NAMES: dict[str, dict[str, str]] = {
    "presses": {"one": "Press 7, by the door", "two": "מכונה גדולה"},
    "tools": {"small": "Lid & clips: family", "shell": "Shell <2-shot>"},
    "resins": {"pp": "PP/Borealis", "tpe": "TPE 60A"},
    "colours": {"white": "Oat", "sage": "oat", "clear": "Klar + nichts"},
    "parts": {"shell": "Kennel (4 bowls)", "lid": LONG, "clip": "Clip x2"},
    "pieces": {"leaflet": "=Leaflet", "carton": "Größe 2: Körbchen/Karton"},
    "products": {"pot": "🌿 Topf, klein"},
    "colourways": {"sage": "Salbei & Hafer", "white": "salbei & hafer"},
    "tiers": {"one": "Early bird (1 unit)", "pair": "Pair; with extras"},
}
"""section -> name in the pot campaign -> the nasty one."""


def nasty_document() -> dict[str, Any]:
    """The pot campaign's document under nasty names."""
    document = pot_campaign().model_dump(mode="json", by_alias=True, exclude_unset=True)
    named: dict[str, Any] = with_names(document, NAMES)
    for line in named["orders"]:
        line["units"] = {p: [NAMES["colourways"][way] for way in ways] for p, ways in line["units"].items()}
    for resin, family in (("PP/Borealis", "PP"), ("TPE 60A", "TPE")):
        named["resins"][resin]["family"] = family
    return named


def nasty_pots() -> Campaign:
    """The campaign, fit to be planned."""
    return read(nasty_document())
