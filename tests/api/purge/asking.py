"""A question about purging for these tests, and SVG read back."""

import copy
import xml.etree.ElementTree as ET
from typing import Any

from httpx2 import Response

from api.purge.question import EXAMPLE
from tests.api.app_client import AppClient

SVG = "{http://www.w3.org/2000/svg}"


def question(**changes: object) -> dict[str, Any]:
    """The example of the API's own document, changed at the top."""
    return copy.deepcopy(EXAMPLE) | changes


def greys(*levels: int, **changes: object) -> dict[str, Any]:
    """A question about neutral greys of these 8-bit levels in one barrel of 1 kg, melt at 1 a kilogram."""
    colours = {f"g{level:03}": {"hex": "#" + f"{level:02x}" * 3} for level in levels}
    asked = {"barrel": {"holdup_kg": 1}, "shot_g": 100, "purge_cycle_s": 30, "colours": colours}
    return asked | {"prices": {"melt_per_kg": 1}} | changes


def ask(app: AppClient, what: str, document: object, **headers: str) -> Response:
    """POST the document; the answer must not be a refusal."""
    answer = app.client.post(f"/v1/purge/{what}", json=document, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer


def kilograms(said: dict[str, Any]) -> dict[tuple[str, str], float]:
    """(from, to) -> kg."""
    return {(change["from"], change["to"]): change["kg"] for change in said["changes"]}


def texts(svg: str) -> list[str]:
    """All words of a picture."""
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]
