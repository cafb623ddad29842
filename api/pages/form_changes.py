"""A form filled in anew, put onto the document it was filled from: what the form cannot say stays as it was."""

import json
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

from api.pages.form_rows import WAS, Filled
from planner.campaign.base import tidy

_MELT, _WAYS, _WAY = "melt", "colourways", "colourway"
"""Not sections: `resin/colour`; colourways of a product; one of them, part -> its colours."""
_PLACES = "done_at"
"""Benches and firms between press and assembly together: steps speak of either."""
_SPOKEN_OF = {
    **{one: many for many in ("presses", "tools", "resins", "colours", "parts", "pieces", "products", "tiers")
       for one in (many, many.removesuffix("s").removesuffix("e") if many == "presses" else many.removesuffix("s"))},
    **dict.fromkeys(("from", "to", "holds", "leaves", "hot_runner_holds"), _MELT),
    "colourways": _WAYS, "efficiency_share": "presses", "piece_days": "pieces", "resin_days": "resins",
    "colour_days": "colours", "by": "toolmakers",
    "cavities": "parts", "blocked_cavities": "parts", "units": "products", "extra_units": "products",
    "extra_pieces": "pieces", "cartons": "pieces", "natural_colour": "colours", "one": "resins", "other": "resins",
    "has_held": "resins", "hot_runner_has_held": "resins", "moulds": "resins", "masterbatches": "colours",
    "first_colour": "colours", "a_piece": "parts", "place": "places", "at": _PLACES, "finished_in": _WAYS,
    **{one: one for one in ("finishing_benches", "finishing_firms", "carriers", "places", "toolmakers")},
}  # fmt: skip
"""Name of a field -> whose ids its keys and texts are."""


def renamed(filled: Filled) -> dict[str, dict[str, str]]:
    """section -> name in the document -> the other name it was given in the form."""
    found: dict[str, dict[str, str]] = {}
    for section, rows in filled.rows.items():
        places = section in ("finishing_benches", "finishing_firms")
        for row in rows:
            name = tidy(row.get("id", ""))
            if row.get(WAS) and name and name != row[WAS]:
                found.setdefault(section, {})[row[WAS]] = name
                if places:
                    found.setdefault(_PLACES, {})[row[WAS]] = name
    return found


def with_names(document: Any, names: Mapping[str, Mapping[str, str]], section: str = "") -> Any:
    """The document with things under their other names, and all that mentions them too.

    section: whose ids the keys and texts at this place are; told from the name of the field they stand in.
    """
    of = names.get("parts" if section == _WAY else section, {})
    if isinstance(document, dict):
        below = {_WAYS: _WAY, _WAY: "colours"}.get(section)
        return {
            of.get(key, key): with_names(value, names, below or _SPOKEN_OF.get(key, ""))
            for key, value in document.items()
        }
    if isinstance(document, list):
        return [with_names(one, names, section) for one in document]
    if isinstance(document, str) and section == _MELT and "/" in document:
        resin, _, colour = document.rpartition("/")
        return f"{names.get('resins', {}).get(resin, resin)}/{names.get('colours', {}).get(colour, colour)}"
    return of.get(document, document) if isinstance(document, str) else document


def onto(base: Any, old: Any, new: Any) -> Any:
    """`base` with what leads from `old` to `new`: both are what the form says of it, before and after."""
    if old == new:
        return base
    if isinstance(base, dict) and isinstance(old, dict) and isinstance(new, dict):
        kept = {key: value for key, value in base.items() if key in new or key not in old}
        for key, value in new.items():
            if key in base and key in old:
                kept[key] = onto(base[key], old[key], value)
            elif key not in old or old[key] != value:
                kept[key] = value
        return kept
    if isinstance(base, list) and isinstance(old, list) and isinstance(new, list) and len(base) >= len(old):
        return _listed(base, old, new)
    return new


def _listed(base: Sequence[Any], old: Sequence[Any], new: Sequence[Any]) -> list[Any]:
    """Elements that stay keep what the form cannot say of them; those in place of others begin from them."""
    before, after = ([json.dumps(one, sort_keys=True) for one in side] for side in (old, new))
    made: list[Any] = []
    for what, a, b, c, d in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if what == "equal":
            made += base[a:b]
        elif what == "replace" and b - a == d - c:
            made += [onto(base[a + k], old[a + k], new[c + k]) for k in range(b - a)]
        elif what != "delete":
            made += new[c:d]
    return [*made, *base[len(old) :]]
