"""The form that grows: what is typed becomes the campaign; what is wrong stands beside its field, all else is kept."""

import re

import pytest

HEAD = {
    "name": "Planter", "currency": "EUR", "time_zone": "Europe/London", "start": "2027-01-11T06:00",
    "product": "planter", "assembly_minutes": "1",
}  # fmt: skip
ROWS = {
    "presses": [{"id": "big", "clamp_kn": "1600", "holdup_kg": "0.8", "shot_max_g": "420", "hours": "06:00-22:00",
                 "rate_per_hour": "40"}],
    "resins": [{"id": "pp", "family": "PP", "price_per_kg": "1.6", "lead_days": "3", "drying_hours": "0"}],
    "colours": [{"id": "sage", "hex": "#8fa58a", "price_per_kg": "11", "lead_days": "3"},
                {"id": "cream", "hex": "#efe6cf", "price_per_kg": "9", "lead_days": "3"}],
    "parts": [
        {"id": "shell", "resin": "pp", "mass_g": "62", "per_unit": "1", "cavities": "2", "cycle_s": "44",
         "presses": "big", "ready": ""},
        {"id": "tray", "resin": "pp", "mass_g": "38", "per_unit": "1", "cavities": "2", "cycle_s": "26",
         "presses": "big", "ready": "2027-01-13"},
    ],
    "colourways": [{"id": "sage", "colours": "sage"}, {"id": "mixed", "colours": "sage, cream"}],
    "tiers": [{"id": "pair", "units": "2", "promised": "2027-02-26"}],
    "orders": [{"tier": "pair", "colourways": "sage, mixed", "country": "GB", "count": "120"}],
}  # fmt: skip


def sent(changes: dict[str, str] | None = None, do: str = "plan") -> dict[str, str]:
    typed = dict(HEAD)
    for section, rows in ROWS.items():
        for number, row in enumerate(rows):
            typed |= {f"{section}.{number}.{name}": value for name, value in row.items()}
    return typed | {"do": do} | (changes or {})


def test_a_filled_form_becomes_a_plan(desk):
    """The document says what was typed."""
    answer = desk.client.post("/start/form", data=sent(), follow_redirects=False)
    assert answer.status_code == 303, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    campaign = desk.client.get(f"/v1{answer.headers['location']}/campaign").json()
    assert campaign["products"]["planter"]["colourways"]["mixed"] == {"shell": ["sage"], "tray": ["cream"]}
    assert campaign["tools"]["tray"]["ready"] == "2027-01-13"
    assert campaign["orders"] == [
        {"tier": "pair", "units": {"planter": ["sage", "mixed"]}, "country": "GB", "count": 120}
    ]


def test_a_row_more_keeps_what_was_typed(desk):
    """Adding a press loses nothing, and needs no script."""
    answer = desk.client.post("/start/form", data=sent({"name": "My campaign"}, do="add-presses"))
    assert 'name="presses.1.id"' in answer.text
    assert 'value="My campaign"' in answer.text
    assert 'name="colours.1.id" value="cream"' in answer.text


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("presses.0.clamp_kn", "much"),
        ("presses.0.hours", "all day"),
        ("parts.0.presses", "nowhere"),
        ("parts.1.resin", "abs"),
        ("colours.0.hex", "green"),
        ("colourways.1.colours", "sage, cream, sage"),
        ("colourways.0.colours", "violet"),
        ("tiers.0.promised", "soon"),
        ("orders.0.tier", "trio"),
        ("orders.0.count", "-3"),
        ("time_zone", "Mars/Olympus"),
        ("start", "yesterday"),
    ],
)
def test_a_problem_stands_beside_its_field(desk, field, typed):
    """The field is marked, says what is wrong, and still holds what was typed."""
    answer = desk.client.post("/start/form", data=sent({field: typed}))
    assert answer.status_code == 422
    said = re.search(f'<span class="problem" id="{re.escape(field)}-problem">([^<]+)', answer.text)
    assert said, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    entry = re.search(f'<input id="{re.escape(field)}"[^>]*>', answer.text)[0]
    assert f'value="{typed}"' in entry
    assert 'aria-invalid="true"' in entry


def test_the_form_hands_over_its_document(desk):
    """For what the form has no field for."""
    answer = desk.client.post("/start/form", data=sent(do="document"))
    assert "&#34;cavities&#34;: {" in answer.text
