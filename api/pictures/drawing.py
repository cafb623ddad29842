"""Filling SVG templates: one environment for all pictures, figures rounded to a tenth of a pixel."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from api import wording

TEMPLATES = Path(__file__).parent / "templates"


def at(value: float) -> str:
    """A coordinate, to a tenth: `12.3`, `40`."""
    return f"{value:.1f}".removesuffix(".0").replace("-0.0", "0")


environment = Environment(
    loader=FileSystemLoader(TEMPLATES),
    autoescape=True,
    trim_blocks=True,
    lstrip_blocks=True,
    undefined=StrictUndefined,
)
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
}


def draw(template: str, **what: object) -> str:
    """The picture as SVG text."""
    return environment.get_template(template).render(**what)


def text_width(text: str, size: float = 11) -> float:
    """About how wide a text stands at that type size: enough to tell whether it fits."""
    return len(text) * size * 0.56
