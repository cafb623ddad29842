"""What every page wears: templates, filters, and the static files under names that change with their content."""

import hashlib
import json
import logging
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from fastapi import Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from api.http.open_to_links import OPEN_TO
from api.languages import LANGUAGES, gettext, ngettext, wording
from api.languages.reading import now_reading
from api.languages.run_words import named_run, nth_run, said_of, what_run
from api.languages.sentences import said
from api.services.acting import now_acting
from api.services.published import Published
from planner.plan.run_names import RunNames

HERE = Path(__file__).parent
NARROW = 320.0
"""Width at which pictures are drawn for a phone, user units."""
log = logging.getLogger(__name__)
KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


def _static() -> dict[str, tuple[bytes, str]]:
    """Name with a piece of the content's hash -> content and media type."""
    found = {}
    for path in sorted((HERE / "static").iterdir()):
        content = path.read_bytes()
        digest = hashlib.sha256(content).hexdigest()[:10]
        found[f"{path.stem}-{digest}{path.suffix}"] = (content, KINDS[path.suffix])
    return found


STATIC = _static()


def static(name: str) -> str:
    """The address of a static file by its plain name."""
    stem, _, suffix = name.rpartition(".")
    full = next(known for known in STATIC if known.startswith(stem + "-") and known.endswith("." + suffix))
    return f"/static/{full}"


environment = Environment(
    loader=FileSystemLoader(HERE / "templates"),
    autoescape=True,
    trim_blocks=True,
    lstrip_blocks=True,
    undefined=StrictUndefined,
    extensions=["jinja2.ext.i18n"],
)
environment.install_gettext_callables(gettext, ngettext, newstyle=True)  # type: ignore[attr-defined]
environment.globals["static"] = static
environment.globals["may"] = lambda scope: scope in now_acting().scopes
environment.globals["acting"] = now_acting
environment.globals["reading"] = now_reading
environment.globals["languages"] = LANGUAGES
environment.globals["weight_unit"] = wording.weight_unit
environment.globals["language"] = lambda: f"&language={now_reading().language}" * (now_reading().language != "en")
environment.globals["written"] = lambda language="": written(language)
environment.globals |= {"when_late": wording.WHEN_LATE, "late_short": wording.LATE_SHORT}
environment.filters |= {
    "day": wording.day,
    "short_day": wording.short_day,
    "moment": wording.moment,
    "number": wording.number,
    "signed": wording.signed,
    "figure": wording.figure,
    "money": wording.money,
    "exact_money": wording.exact_money,
    "estimate": wording.estimated_money,
    "symbol": wording.currency_symbol,
    "country": wording.country,
    "kg": wording.kilograms,
    "weigh": wording.weight_figure,
    "part_of": wording.part_of,
    "purge_way": wording.purge_way,
    "share": wording.per_cent,
    "chance": wording.chance,
    "duration": wording.duration,
    "heat_and_bridge": wording.heat_and_bridge,
    "closing_said": wording.closing_said,
    "others_left": wording.others_left,
    "into_the_mould": wording.into_the_mould,
    "who_stays": wording.who_stays,
    "others_take_over": wording.others_take_over,
    "when": lambda text: wording.moment(datetime.fromisoformat(text)),
    "nth_run": nth_run,
    "what_run": what_run,
    "named_run": named_run,
    "run_names": lambda plan: RunNames(plan.runs),
    "said": said,
    "said_of": said_of,
    "begun": lambda text: text[:1].upper() + text[1:],
    "days": wording.days,
    "whose_figure": wording.whose_figure,
    "counted": wording.counted,
    "as_json": lambda value: json.dumps(value, ensure_ascii=False),
    "work_name": wording.work_name,
    "region_name": wording.region,
    "regions_named": lambda tiers: ", ".join(
        dict.fromkeys(wording.region(one.region) for tier in tiers for one in tier.regions)
    ),
    "iso": lambda when: when.isoformat(),
}


def written(language: str = "") -> str:
    """What is asked for with a file for people: the page's language, or that one, and its weights; `&language=de`."""
    reader = now_reading()
    language = language or reader.language
    return f"&language={language}" * (language != "en") + "&weights=lb" * reader.pounds


def of_plan(shown: Published) -> dict[str, Any]:
    """What every page of a plan shows: its row, the plan, and where that is not what was asked for last, why not."""
    newer = shown.row.revision > shown.revision
    return {
        "row": shown.row,
        "plan": shown.plan,
        "newer": ("failed" if shown.row.finished else "open") if newer else "",
    }


def page(template: str, status: int = 200, headers: dict[str, str] | None = None, **what: Any) -> Response:
    """The page as an answer. Never kept by anybody between: it is one workshop's."""
    text = environment.get_template(template).render(**what)
    if link := now_acting().link:
        text = _LINK.sub(lambda found: found[0] if opens(link, found["to"]) else found["said"], text)
    said = {"Cache-Control": "private, no-cache", "Vary": "Accept-Language, Cookie"}
    said["Content-Language"] = now_reading().language
    return Response(text, status, said | (headers or {}), "text/html; charset=utf-8")


_PARTS = {
    r"(?<=/plans/)[0-9a-z]+": "plan_id",
    r"(?<=/pictures/)[a-z]+(?=[.]svg)": "name",
    r"(?<=/runs/)[^/]+$": "run_id",
}
"""What stands in an address for each parameter of its route."""
_LINK = re.compile(r'<a\b[^>]*?\shref="(?P<to>[^"]*)"[^>]*>(?P<said>.*?)</a>', re.DOTALL)


def opens(link: str, to: str) -> bool:
    """Whether a link of a page leads to what somebody may see who came by a shared link; else only its words stay."""
    path = to.partition("#")[0].partition("?")[0]
    if not path.startswith("/"):
        return not path
    pattern = path
    for part, name in _PARTS.items():
        pattern = re.sub(part, f"{{{name}}}", pattern)
    return ("GET", pattern) in OPEN_TO["log" if link == "log" else "read"]


def drawn(draw: Callable[[], str]) -> Markup:
    """A picture of ours to stand in a page as it is; its texts were escaped when it was drawn. A picture that cannot be
    drawn costs the page that picture only."""
    try:
        return Markup(draw())
    except Exception:
        log.exception("fault in a picture")
        said_so = gettext("This picture could not be drawn. Our fault; the plan is not touched.")
        return Markup('<p class="problem">{}</p>').format(said_so)


def twice(draw: Callable[[float], str], width: float) -> Markup:
    """A picture at its width and at a phone's; the style sheet shows the one that fits."""
    wide, narrow = drawn(lambda: draw(width)), drawn(lambda: draw(NARROW))
    return Markup(f'<div class="on-wide">{wide}</div><div class="on-narrow">{narrow}</div>')  # drawn by us, see above
