"""What the documentation is told by the code itself: the HTTP, Python and campaign references, settings, figures.

MkDocs calls `on_files` before it reads any page; the pages made here exist in no folder, so they cannot grow stale.
"""

import inspect
import json
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))
METHODS = ("get", "post", "put", "patch", "delete")


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add the generated pages and figures."""
    made = {
        "reference/command.md": commands(),
        "reference/http.md": http(_openapi()),
        "reference/campaign.md": campaign(),
        "reference/library.md": library(),
        "reference/settings.md": settings(),
        "reference/rules.md": (ROOT / "planner" / "RULES.md").read_text(encoding="utf-8"),
        "changes.md": (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"),
        "figures/floor.svg": (ROOT / "examples" / "floor.svg").read_text(encoding="utf-8"),
        "figures/colour-changes.svg": colour_changes(),
    }
    for name, content in made.items():
        files.append(File.generated(config, name, content=content))
    return files


def commands() -> str:
    """The table of commands as a page."""
    from api.command.table import rows

    lines = [f"| `{row.name} {row.arguments}` | {row.says} |" for row in rows()]
    return "\n".join(
        [
            "# The command",
            "",
            "`shot-to-ship COMMAND` where the package is installed, `./run COMMAND` in a checkout. `--help` behind a",
            "command says all it takes.",
            "",
            "| command | what it does |",
            "|---|---|",
            *lines,
            "",
            "Commands that talk to a service look for it at `SHOT_TO_SHIP_SERVICE` (else where a service with the",
            "settings of this shell listens) and send the key in `SHOT_TO_SHIP_KEY`, if there is one.",
        ]
    )


def _openapi() -> dict[str, Any]:
    """What the service says of itself, from an application that never listens."""
    from api.app import make_app
    from worker.settings import Settings

    folder = Path(tempfile.mkdtemp(prefix="docs-"))
    try:
        app = make_app(Settings(data=folder, redis_url="redis://127.0.0.1:9/0"))
        document: dict[str, Any] = app.openapi()
        app.state.service.database.close()
        return document
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def http(document: dict[str, Any]) -> str:
    """Every operation: what it is for, what it takes, how it answers."""
    by_tag: dict[str, list[tuple[str, str, dict[str, Any]]]] = {}
    for path, operations in document["paths"].items():
        for method in METHODS:
            if method in operations:
                tag = (operations[method].get("tags") or ["service"])[0]
                by_tag.setdefault(tag, []).append((method.upper(), path, operations[method]))
    out = [
        "# HTTP",
        "",
        "Made from the service's own OpenAPI document, which it serves at `/v1/openapi.json`: generate a client from",
        "that. Refusals are problem documents (RFC 9457); `/problems` on the service explains each kind.",
    ]
    for tag, operations in by_tag.items():
        out += ["", f"## {tag.capitalize()}"]
        for method, path, told in operations:
            out += ["", f"### {method} {_plain(path)}", "", _plain(told.get("summary", "")) + "."]
            if told.get("deprecated"):
                out += ["", "**Goes with the next version.**"]
            if told.get("description"):
                out += ["", _plain(" ".join(told["description"].split()))]
            out += ["", *_parameters(told)]
            out += ["", "Answers: " + ", ".join(f"`{status}`" for status in told["responses"]) + "."]
    return "\n".join(out)


def _parameters(told: dict[str, Any]) -> Iterator[str]:
    if told.get("parameters"):
        yield "| takes | where | what |"
        yield "|---|---|---|"
        for one in told["parameters"]:
            needed = ", needed" if one.get("required") else ""
            yield f"| `{one['name']}` | {one['in']}{needed} | {_cell(one.get('description', ''))} |"
    for media, body in told.get("requestBody", {}).get("content", {}).items():
        name = body.get("schema", {}).get("$ref", "").rpartition("/")[2]
        yield ""
        yield f"A body of `{media}`" + (f": `{name}`." if name else ".")


def campaign() -> str:
    """Every field of the document a maker writes."""
    from planner.campaign import Campaign

    schema = Campaign.model_json_schema(by_alias=True)
    out = [
        "# The campaign document",
        "",
        "JSON. Fields without a default are needed. An unknown field is refused, with its place in the document.",
        "The demo campaign, `shot-to-ship plan` takes it too, shows most of them: `examples/herb-planter.json`.",
    ]
    for name, told in [("Campaign", schema), *sorted(schema["$defs"].items())]:
        if "properties" not in told:
            continue
        out += ["", f"## {name}", "", _plain(" ".join(told.get("description", "").split())), ""]
        out += ["| field | default | what it is |", "|---|---|---|"]
        for field, one in told["properties"].items():
            default = "needed" if field in told.get("required", []) else _default(one)
            out.append(f"| `{field}` | {default} | {_cell(one.get('description') or _kind(one))} |")
    return "\n".join(out)


def _default(one: dict[str, Any]) -> str:
    if one.get("default") is None:
        return "none"
    said = json.dumps(one["default"])
    return f"`{said}`" if len(said) <= 30 else "see below"


def _kind(one: dict[str, Any]) -> str:
    """What stands in a field nobody described: the names of its kinds."""
    found = re.findall(r'"\$ref": "#/\$defs/(\w+)"', json.dumps(one))
    return ", ".join(dict.fromkeys(found)) or str(one.get("type", ""))


def library() -> str:
    """The planner's four calls and what they raise, from their docstrings."""
    from planner import errors, library
    from planner.control import Progress

    out = ["# Python", "", _plain(inspect.getdoc(library) or "")]
    for name in library.__all__:
        call = getattr(library, name)
        out += ["", f"## planner.{name}", "", "```python", f"{name}{inspect.signature(call)}", "```", ""]
        out += [_plain(inspect.getdoc(call) or "")]
    out += ["", "## What they report and raise"]
    for kind in (Progress, errors.Problem, errors.CampaignProblems, errors.Infeasible, errors.Stopped,
                 errors.AuditFailed):  # fmt: skip
        out += ["", f"### {kind.__name__}", "", _plain(inspect.getdoc(kind) or "")]
    return "\n".join(out)


def settings() -> str:
    """Every environment variable of the service, with what it may be."""
    from worker.settings import PREFIX, Settings

    out = [
        "# Settings",
        "",
        "Environment variables. One that begins like these and is none of them stops the start with a list.",
        "",
        "| variable | default | from, to | what it means |",
        "|---|---|---|---|",
    ]
    for name, said in Settings.model_json_schema()["properties"].items():
        default = "" if said["default"] == "" else f"`{said['default']}`"
        span = f"{said['minimum']:.16g}, {said['maximum']:.16g}" if "minimum" in said else ""
        out.append(f"| `{PREFIX}{name.upper()}` | {default} | {span} | {_cell(said.get('description', ''))} |")
    return "\n".join(out)


def colour_changes() -> str:
    """The picture of the API's own example question."""
    from api.purge.picture import changes_svg
    from api.purge.question import EXAMPLE, PurgeQuestion, answered
    from api.purge.schemas import colour_changes

    question = PurgeQuestion.model_validate(EXAMPLE)
    table = answered(question, None, "")  # type: ignore[arg-type]  # the workshop's log is not asked for
    return changes_svg(colour_changes(table, "GBP", "twin", 1), question.colours, 760)


def _plain(text: str) -> str:
    """As text: nothing in it is taken for a tag."""
    return text.replace("<", "&lt;")


def _cell(text: str) -> str:
    return _plain(" ".join(text.split())).replace("|", "\\|")
