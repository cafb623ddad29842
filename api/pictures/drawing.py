"""Filling SVG templates: one environment for all pictures, figures rounded to a tenth of a pixel, texts in the reader's
language."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from unicodedata import category, combining, east_asian_width

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from api.languages import gettext, ngettext, wording
from api.languages.sentences import said

TEMPLATES = Path(__file__).parent / "templates"


BOLD = 1.2
"""How much wider bold type stands."""


def at(value: float) -> str:
    """A coordinate, to a tenth: `12.3`, `40`."""
    return f"{value:.1f}".removesuffix(".0").replace("-0.0", "0")


environment = Environment(
    loader=FileSystemLoader(TEMPLATES),
    autoescape=True,
    trim_blocks=True,
    lstrip_blocks=True,
    undefined=StrictUndefined,
    extensions=["jinja2.ext.i18n"],
)
environment.install_gettext_callables(gettext, ngettext, newstyle=True)  # type: ignore[attr-defined]
environment.filters |= {
    "at": at,
    "day": wording.day,
    "short_day": wording.short_day,
    "moment": wording.moment,
    "number": wording.number,
    "kg": wording.kilograms,
    "share": wording.per_cent,
    "duration": wording.duration,
    "counted": wording.counted,
    "said": said,
}


def draw(template: str, **what: object) -> str:
    """The picture as SVG text."""
    return environment.get_template(template).render(**what)


def text_width(text: str, size: float = 11) -> float:
    """About how wide a text stands at that type size: enough to tell whether it fits."""
    wide = 0 if text.isascii() else sum(east_asian_width(c) in "WF" for c in text)
    marks = 0 if text.isascii() else sum(combining(c) > 0 or category(c) in ("Mn", "Me", "Cf") for c in text)
    return (len(text) + 0.8 * wide - marks) * size * 0.56


def cut(name: str, room: float, size: float = 11) -> str:
    """As much of a name as fits into the room, user units; an ellipsis where it does not all."""
    if text_width(name, size) <= room:
        return name
    kept = len(name)
    while kept > 1 and text_width(name[:kept] + "…", size) > room:
        kept -= 1
    return name[:kept].rstrip() + "…"


def cut_apart(names: Sequence[str], room: float, size: float = 11) -> dict[str, str]:
    """Each name cut to the room so that no two look alike: where their beginnings do, the middle goes."""
    shown = {name: cut(name, room, size) for name in names}
    alike: dict[str, list[str]] = {}
    for name, text in shown.items():
        alike.setdefault(text, []).append(name)
    used = {text for text, twins in alike.items() if len(twins) == 1}
    for twins in alike.values():
        if len(twins) == 1:
            continue
        for number, name in enumerate(twins, start=1):
            ways = [*_middles(name, twins, room, size), f"{cut(name, room - 40, size)} {number}"]
            shown[name] = next((text for text in ways if text not in used), ways[-1])
            used.add(shown[name])
    return shown


def _middles(name: str, twins: Sequence[str], room: float, size: float) -> list[str]:
    """A name without its middle: where it begins to differ from its twins, and its end."""
    same = next((n for n, letters in enumerate(zip(*twins, strict=False)) if len(set(letters)) > 1), len(name))
    tails = [cut(name[max(0, same - 1) :] or name[-1], room * 0.7, size)]
    tails += [name[-most:] for most in range(len(name), 0, -1) if text_width(name[-most:], size) <= room * 0.7][:1]
    return [cut(name, room - text_width(tail, size), size) + tail for tail in tails]


def wrapped(phrases: Iterable[str], room: float, size: float = 10) -> list[str]:
    """Phrases set one after the other with a dot between, in lines as long as there is room."""
    lines: list[str] = []
    for phrase in phrases:
        longer = f"{lines[-1]} · {phrase}" if lines else phrase
        if lines and text_width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(phrase)
    return lines


@dataclass(frozen=True)
class Name:
    """A text in the gutter of a sheet, at its left. kind: press, strong, plain or soft."""

    y: float
    text: str
    kind: str = "plain"
