"""The form that grows: what is typed becomes the campaign; what is wrong stands beside its field, all else is kept."""

import copy
import html
import io
import json
import re

import pytest

from api.pages import shorthand
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from api.pages.form_rows import read as read_form
from planner.reading import read

HEAD = {"name": "Planter", "currency": "EUR", "time_zone": "Europe/London", "start": "2027-01-11T06:00"}
ROWS = {
    "presses": [{"id": "big", "clamp_kn": "1600", "holdup_kg": "0.8", "shot_max_g": "420", "hours": "06:00-22:00",
                 "rate_per_hour": "40"}],
    "resins": [{"id": "pp", "family": "PP", "price_per_kg": "1.6", "lead_days": "3", "drying_hours": "0"}],
    "colours": [{"id": "sage", "hex": "#8fa58a", "price_per_kg": "11", "lead_days": "3"},
                {"id": "cream", "hex": "#efe6cf", "price_per_kg": "9", "lead_days": "3"}],
    "parts": [{"id": "shell", "resin": "pp", "mass_g": "62"}, {"id": "tray", "resin": "pp", "mass_g": "38"}],
    "tools": [{"makes": "shell x2", "cycle_s": "44", "presses": "big", "ready": ""},
              {"makes": "tray x2", "cycle_s": "26", "presses": "", "ready": "2027-01-13"}],
    "products": [{"id": "planter", "parts": "", "assembly_minutes": "1"}],
    "colourways": [{"id": "sage", "colours": "sage"}, {"id": "mixed", "colours": "sage, cream"}],
    "tiers": [{"id": "pair", "units": "2", "promised": "2027-02-26"}],
    "orders": [{"tier": "pair", "colourways": "sage, mixed", "country": "GB", "count": "120"}],
    "benches": [{"assembly_people": "1", "assembly_hours": "08:00-16:00", "packing_people": "1",
                 "packing_hours": "08:00-16:00", "days": "fri", "time": "16:00"}],
}  # fmt: skip
GROWN = {
    "presses": [{"id": "Twin", "clamp_kn": "1600", "holdup_kg": "0.85", "shot_max_g": "420",
                 "hours": "mon-thu 07:00-16:30; fri 07:00-14:00", "holdup2_kg": "0.22", "shot_max2_g": "110"},
                {"id": "Small one", "clamp_kn": "600", "holdup_kg": "0.28", "shot_max_g": "95", "hours": ""}],
    "resins": [{"id": "PP", "family": "PP", "lead_days": "3"}, {"id": "TPE", "family": "TPE", "lead_days": "3"}],
    "colours": [{"id": "Sage", "hex": "#8fa58a", "lead_days": "3"},
                {"id": "Smoke", "hex": "#555555", "lead_days": "3"}],
    "parts": [{"id": "Shell", "resin": "PP", "mass_g": "62", "resin2": "TPE", "mass2_g": "8"},
              {"id": "Wick cup", "resin": "PP", "mass_g": "4"}, {"id": "Float", "resin": "PP", "mass_g": "3"},
              {"id": "Dish", "resin": "PP", "mass_g": "30"}],
    "tools": [{"makes": "Shell x2", "cycle_s": "44", "runner_g": "4, 1"},
              {"makes": "Wick cup x4, Float x4", "id": "Family", "cycle_s": "24", "presses": "Small one"},
              {"makes": "2 Dish", "cycle_s": "30"}],
    "pieces": [{"id": "Felt", "price": "0.1", "stock": "50", "lead_days": "5"},
               {"id": "Carton", "price": "0.6", "stock": "0", "arrives": "2027-01-12", "amount": "900",
                "lead_days": "5"}],
    "products": [{"id": "Planter", "parts": "Shell, Wick cup x2, Float", "pieces": "Felt", "assembly_minutes": "2"},
                 {"id": "Saucer", "parts": "Dish", "assembly_minutes": "0"}],
    "colourways": [{"id": "Sage", "colours": "Sage, Shell: Sage + Smoke"},
                   {"id": "Dark", "colours": "Smoke", "product": "Planter"}],
    "tiers": [{"id": "Pair", "units": "Planter x2, Saucer", "pieces": "Carton", "promised": "2027-02-26"},
              {"id": "Dish only", "units": "Saucer", "promised": "2027-02-12"}],
    "orders": [{"tier": "Pair", "colourways": "Planter: Sage, Dark", "country": "gb", "count": "40"},
               {"tier": "Pair", "colourways": "Planter: Dark; Saucer: Sage", "country": "DE", "count": "10"},
               {"tier": "Dish only", "colourways": "", "country": "FR", "count": "5"}],
    "benches": [{"assembly_people": "2", "assembly_hours": "08:00-16:00", "packing_people": "1",
                 "packing_hours": "tue 08:00-12:00; thu 08:00-12:00", "days": "Tue, Fri", "time": "15:00"}],
}  # fmt: skip
"""Two products, a two-shot part, a family tool, two presses, bought-ins, tiers of several units: in a maker's words."""


def sent(changes: dict[str, str] | None = None, do: str = "plan", rows=ROWS) -> dict[str, str]:
    typed = dict(HEAD)
    for section, entries in rows.items():
        for number, row in enumerate(entries):
            typed |= {f"{section}.{number}.{name}": value for name, value in row.items()}
    return typed | {"do": do} | (changes or {})


def campaign_of(app, data):
    answer = app.client.post("/start/form", data=data, follow_redirects=False)
    assert answer.status_code == 303, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    return app.client.get(f"/v1{answer.headers['location']}/campaign").json()


def test_a_filled_form_becomes_a_plan(app):
    """The document says what was typed."""
    campaign = campaign_of(app, sent())
    assert campaign["products"]["planter"]["parts"] == {"shell": 1, "tray": 1}
    assert campaign["products"]["planter"]["colourways"]["mixed"] == {"shell": ["sage"], "tray": ["cream"]}
    assert campaign["tools"]["tray"] == {"cavities": {"tray": 2}, "cycle_s": 26, "presses": ["big"],
                                         "ready": "2027-01-13"}  # fmt: skip
    assert campaign["orders"] == [
        {"tier": "pair", "units": {"planter": ["sage", "mixed"]}, "country": "GB", "count": 120}
    ]


def test_the_form_grows_with_the_job(app):
    """Several products, two-shot parts, a family tool, bought-ins, presses of one barrel and of two."""
    campaign = campaign_of(app, sent(rows=GROWN))
    read(campaign)
    assert campaign["presses"]["Twin"]["hours"] == {"mon-thu": "07:00-16:30", "fri": "07:00-14:00"}
    assert [b["holdup_kg"] for b in campaign["presses"]["Twin"]["barrels"]] == [0.85, 0.22]
    assert campaign["parts"]["Shell"]["barrels"] == [{"resin": "PP", "mass_g": 62}, {"resin": "TPE", "mass_g": 8}]
    assert campaign["tools"]["Shell"]["presses"] == ["Twin"]
    assert campaign["tools"]["Shell"]["runner_g"] == [4, 1]
    assert campaign["tools"]["Family"]["cavities"] == {"Wick cup": 4, "Float": 4}
    assert campaign["tools"]["Dish"]["presses"] == ["Twin", "Small one"]
    planter = campaign["products"]["Planter"]
    assert planter["parts"] == {"Shell": 1, "Wick cup": 2, "Float": 1}
    assert planter["colourways"]["Sage"] == {"Shell": ["Sage", "Smoke"], "Wick cup": ["Sage"], "Float": ["Sage"]}
    assert planter["colourways"]["Dark"]["Shell"] == ["Smoke", "Smoke"]
    assert list(campaign["products"]["Saucer"]["colourways"]) == ["Sage"]
    assert campaign["tiers"]["Pair"]["units"] == {"Planter": 2, "Saucer": 1}
    assert campaign["pieces"]["Carton"]["arrivals"] == [{"on": "2027-01-12", "amount": 900}]
    assert [line["units"] for line in campaign["orders"]] == [
        {"Planter": ["Sage", "Dark"], "Saucer": ["Sage"]},
        {"Planter": ["Dark", "Dark"], "Saucer": ["Sage"]},
        {"Saucer": ["Sage"]},
    ]
    assert campaign["packing"]["hours"] == {"tue": "08:00-12:00", "thu": "08:00-12:00"}
    assert campaign["pick_ups"] == {"days": ["tue", "fri"], "time": "15:00"}


def test_a_row_more_keeps_what_was_typed(app):
    """Adding a press loses nothing, and needs no script."""
    answer = app.client.post("/start/form", data=sent({"name": "My campaign"}, do="add-presses"))
    assert 'name="presses.1.id"' in answer.text
    assert 'value="My campaign"' in answer.text
    assert 'name="colours.1.id" value="cream"' in answer.text


def test_a_row_less_moves_the_others_up(app):
    """Taking out the first colour leaves the second; the last row of a kind is emptied, not lost."""
    answer = app.client.post("/start/form", data=sent(do="drop-colours-0"))
    assert 'name="colours.0.id" value="cream"' in answer.text
    assert 'name="colours.1.id"' not in answer.text
    answer = app.client.post("/start/form", data=sent(do="drop-presses-0"))
    assert 'name="presses.0.id" value=""' in answer.text


@pytest.mark.parametrize(
    ("field", "typed", "rows"),
    [
        ("presses.0.clamp_kn", "much", ROWS),
        ("presses.0.clamp_kn", "nan", ROWS),
        ("presses.0.hours", "all day", ROWS),
        ("tools.0.presses", "nowhere", ROWS),
        ("tools.0.makes", "cup", ROWS),
        ("tools.1.makes", "shell", ROWS),
        ("tools.1.cycle_s", "", ROWS),
        ("parts.1.resin", "abs", ROWS),
        ("parts.1.id", "shell", ROWS),
        ("parts.0.id", "x" * 81, ROWS),
        ("colours.0.hex", "green", ROWS),
        ("colourways.1.colours", "sage, cream, sage", ROWS),
        ("colourways.0.colours", "violet", ROWS),
        ("colourways.0.colours", "sage, knob: cream", ROWS),
        ("tiers.0.promised", "soon", ROWS),
        ("orders.0.tier", "trio", ROWS),
        ("orders.0.count", "-3", ROWS),
        ("orders.0.colourways", "sage, violet", ROWS),
        ("benches.0.days", "someday", ROWS),
        ("benches.0.packing_people", "0", ROWS),
        ("time_zone", "Mars/Olympus", ROWS),
        ("start", "yesterday", ROWS),
        ("tiers.0.units", "2", GROWN),
        ("presses.0.shot_max2_g", "", GROWN),
        ("parts.0.resin2", "nylon", GROWN),
        ("tools.1.makes", "Wick cup x4, Wick cup", GROWN),
        ("pieces.1.arrives", "late", GROWN),
        ("products.0.pieces", "Felt x2, String", GROWN),
        ("colourways.1.product", "Bowl", GROWN),
        ("orders.0.colourways", "Planter: Sage, Dark, Sage", GROWN),
    ],
)
def test_a_problem_stands_beside_its_field(app, field, typed, rows):
    """The field is marked, says what is wrong, and still holds what was typed."""
    answer = app.client.post("/start/form", data=sent({field: typed}, rows=rows))
    assert answer.status_code == 422
    said = re.search(f'<span class="problem" id="{re.escape(field)}-problem">([^<]+)', answer.text)
    assert said, re.findall('class="problem"[^>]*>([^<]*)', answer.text)
    entry = re.search(f'<input id="{re.escape(field)}"[^>]*>', answer.text)[0]
    assert f'value="{typed}"' in entry
    assert 'aria-invalid="true"' in entry
    assert f'href="#{field}"' in answer.text


def test_all_problems_are_told_at_once(app):
    """A number that is none does not hide a name that is missing elsewhere."""
    answer = app.client.post("/start/form", data=sent({"resins.0.price_per_kg": "much", "orders.0.tier": "trio"}))
    assert 'id="resins.0.price_per_kg-problem"' in answer.text
    assert 'id="orders.0.tier-problem"' in answer.text


def test_the_form_hands_over_its_document(app):
    """For what the form has no field for."""
    answer = app.client.post("/start/form", data=sent(do="document"))
    assert "&#34;cavities&#34;: {" in answer.text


TABLE = 'Order,Reward,Colours,Land\nA1,pair,"sage, mixed",GB\nA2,pair,"mixed, mixed",DE\n'


def hidden(text: str, name: str) -> str:
    return html.unescape(re.search(f'name="{name}" value="([^"]*)"', text)[1])


def test_the_first_orders_may_come_from_a_spreadsheet(app):
    """From the form without an order to the spreadsheet's columns to a plan, with nothing planned before."""
    asked = app.client.post("/start/form", data=sent(rows=ROWS | {"orders": []}, do="orders"))
    assert asked.status_code == 200
    campaign = hidden(asked.text, "kept_campaign")
    looked = app.client.post(
        "/start/orders",
        files={"file": ("orders.csv", TABLE, "text/csv")},
        data={"kept_campaign": campaign, "do": "look"},
    )
    assert "What does each column say?" in looked.text
    fields = [(None, campaign), (None, hidden(looked.text, "kept")), (None, "plan")]
    files = list(zip(("kept_campaign", "kept", "do"), fields, strict=True))
    files += [("heading", (None, h)) for h in ("Order", "Reward", "Colours", "Land")]
    files += [("use", (None, u)) for u in ("ref", "tier", "colour", "country")]
    planned = app.client.post("/start/orders", files=files, follow_redirects=False)
    assert planned.status_code == 303, planned.text
    lines = app.client.get(f"/v1{planned.headers['location']}/campaign").json()["orders"]
    assert [(line["ref"], line["country"]) for line in lines] == [("A1", "GB"), ("A2", "DE")]


def test_a_document_without_orders_and_a_spreadsheet_may_come_together(app):
    """Both files at once; a document that is wrong comes back as one that can be mended."""
    document = json.loads(hidden(app.client.post("/start/form", data=sent(do="orders")).text, "kept_campaign"))
    del document["orders"]

    def send(of: dict[str, object]):
        files = {
            "document": ("c.json", io.BytesIO(json.dumps(of).encode()), "application/json"),
            "file": ("orders.csv", TABLE, "text/csv"),
        }
        return app.client.post("/start/orders", files=files, data={"do": "look"})

    assert "What does each column say?" in send(document).text
    answer = send(document | {"tools": {}})
    assert answer.status_code == 422
    assert "/tools" in answer.text


@pytest.mark.parametrize("with_table", [True, False])
def test_a_table_sent_with_a_document_that_is_wrong_waits_until_it_is_mended(app, with_table):
    """The page said that nothing was lost, and went on without the table."""
    document = json.loads(hidden(app.client.post("/start/form", data=sent(do="orders")).text, "kept_campaign"))
    wrong = json.dumps(document | {"tools": {}})
    files = {"document": ("c.json", io.BytesIO(wrong.encode()), "application/json")}
    files |= {"file": ("März.csv", TABLE, "text/csv")} if with_table else {}
    answer = app.client.post("/start/orders", files=files, data={"do": "look"})
    assert answer.status_code == 422
    assert ("Your table of orders, März.csv, waits here" in answer.text) is with_table
    action = re.search(r'<form method="post" action="([^"]*)" enctype[^>]*>\s*(?:<input[^>]*>)*', answer.text)[1]
    assert action == ("/start/orders" if with_table else "/start/document")
    if with_table:
        kept = {name: hidden(answer.text, name) for name in ("kept", "file_name")}
        [(name, value)] = re.findall(r'<button class="main" name="(\w+)" value="(\w+)">Look at its', answer.text)
        [text] = re.findall(r'<textarea id="text" name="(\w+)"', answer.text)
        mended = app.client.post(action, data=kept | {text: json.dumps(document), name: value})
        assert "What does each column say?" in mended.text
        assert "März.csv" in mended.text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("shell x2, tray", {"shell": 2, "tray": 1}), ("2 shell", {"shell": 2}), ("2x shell; lid", {"shell": 2, "lid": 1}),
     ("box x10", {"box": 10}), ("", {})],
)  # fmt: skip
def test_counts_are_read_before_and_after_a_name(text, wanted):
    """As people write them."""
    assert shorthand.counted(text) == wanted


STEPS = [
    {"what": "measure", "tool": "shell", "days": "1", "by": "Anna"},
    {"what": "Put metal on", "tool": "shell", "days": "7-8-10", "by": "Anna"},
    {"what": "polish", "tool": "tray", "days": "2–3", "by": "Anna", "after": ""},
    {"what": "approve", "tool": "shell", "days": "3", "not_before": "2027-01-20"},
]


def test_what_is_left_on_tools_is_said_row_by_row(app):
    """And the form filled in from it makes the same campaign again."""
    document = campaign_of(app, sent(rows=ROWS | {"steps": STEPS}))
    made = read(document)
    assert made.tools["shell"].until_ready["Put metal on"].days.likely == 8
    assert made.tools["shell"].until_ready["Put metal on"].what == "Put metal on"
    assert made.tools["tray"].until_ready["polish"].days.likely == 2.5
    assert list(made.toolmakers) == ["Anna"]
    again = make(filled_from(document))
    assert again.problems == []
    assert read(again.document).tools == made.tools


@pytest.mark.parametrize(
    ("row", "field", "says"),
    [
        ({"days": "a week"}, "steps.0.days", "7-8-10"),
        ({"days": "10-7"}, "steps.0.days", "does not rise"),
        ({"tool": "lid"}, "steps.0.tool", "no tool"),
        ({"what": " "}, "steps.0.what", "what is to be done"),
        ({"after": "sing"}, "steps.0.after", "no step"),
    ],
)
def test_a_step_that_cannot_be_read_is_told_beside_its_field(app, row, field, says):
    answer = app.client.post("/start/form", data=sent(rows=ROWS | {"steps": [STEPS[0] | row]}))
    assert answer.status_code == 422
    told = re.search(f'id="{re.escape(field)}-problem">(.*?)<', answer.text)
    assert says in html.unescape(told.group(1))


DOUBTS = [
    {"tool": "shell", "ready": "2027-01-10 to 2027-01-18", "works": "7 in 10", "on": "2027-01-18", "rework": "7-10"},
    {"tool": "tray", "works": "65 %", "rework": "3-5-9", "fails": "2", "cost": "250", "approval_days": "2"},
]


def test_what_is_not_sure_about_tools_is_said_in_the_makers_words(app):
    """Two days around the one on which a tool is to be ready, a trial and its day; and the form says it again."""
    tools = [row | ({"ready": "2027-01-12"} if "shell" in row["makes"] else {}) for row in ROWS["tools"]]
    document = campaign_of(app, sent(rows=ROWS | {"tools": tools, "unsure": DOUBTS}))
    made = read(document).uncertainty.tools
    assert made["shell"].ready_days.model_dump() == {"early": -2, "likely": 0, "late": 6, "shape": "beta-pert"}
    trial = made["shell"].first_trial
    assert (trial.success_chance, trial.on.isoformat(), trial.most_failures) == (0.7, "2027-01-18", 1)
    assert (trial.rework_days.early, trial.rework_days.likely, trial.rework_days.late) == (7, 8.5, 10)
    other = made["tray"].first_trial
    assert (other.success_chance, other.on, other.most_failures, other.cost, other.approval_days) == (
        0.65,
        None,
        2,
        250,
        2,
    )
    again = make(filled_from(document))
    assert again.problems == []
    assert read(again.document).uncertainty == read(document).uncertainty


@pytest.mark.parametrize(
    ("row", "field", "says"),
    [
        ({"works": "mostly"}, "unsure.0.works", "7 in 10"),
        ({"works": "11 in 10"}, "unsure.0.works", "7 in 10"),
        ({"works": ""}, "unsure.0.works", "how likely"),
        ({"ready": "soon"}, "unsure.0.ready", "two days"),
        ({"ready": "2027-02-01 to 2027-02-03"}, "unsure.0.ready", "around that"),
        ({"tool": "lid"}, "unsure.0.tool", "no tool"),
        ({"rework": "a week"}, "unsure.0.rework", "7-8-10"),
    ],
)
def test_a_doubt_that_cannot_be_read_is_told_beside_its_field(app, row, field, says):
    tools = [one | ({"ready": "2027-01-12"} if "shell" in one["makes"] else {}) for one in ROWS["tools"]]
    answer = app.client.post("/start/form", data=sent(rows=ROWS | {"tools": tools, "unsure": [DOUBTS[0] | row]}))
    assert answer.status_code == 422
    told = re.search(f'id="{re.escape(field)}-problem">(.*?)<', answer.text)
    assert says in html.unescape(told.group(1))


NASTY = [
    "Kennel (4 bowls)", "Kennel, small", "Kennel", "kennel", "KENNEL (4 bowls)", "Bowl", "Bowl x2", "Größe 2: Körbchen",
    "🌿 Topf", "🌱 Topf", "קערה קטנה", "وعاء", "A & B + C", 'the "good" one', "50 % lid", "2 up", "=1+1", "<b>lid</b>",
    "x" * 80,
]  # fmt: skip
"""Names as people type them: marks that stand between names, two of one spelling, other scripts, very long."""


@pytest.mark.parametrize("name", NASTY)
def test_names_stay_as_typed(name):
    """Whatever marks they hold, one name in a list means just that thing; counts are read back as they are said."""
    names = shorthand.Names(NASTY)
    assert names.find(f"  {name} ") == name
    if name != "Bowl":
        assert shorthand.counted(f"{name}, Bowl x3", names) == {name: 1, "Bowl": 3}
    for count in (1, 2, 12):
        said = shorthand.said_counts({name: count, "🌱 Topf": 2} if name != "🌱 Topf" else {name: count}, names)
        assert shorthand.counted(said, names)[name] == count


def test_a_name_in_another_spelling_means_the_only_one_it_can():
    """Capitals, blanks and hyphens do not matter where one name is left; where two are, nothing is guessed."""
    names = shorthand.Names(["Wick cup", "Lid", "lid", "Körbchen"])
    assert [names.find(said) for said in ("wick-cup", "WICK CUP", "lid", "LID", "korbchen", "wick")] == [
        "Wick cup", "Wick cup", "lid", None, "Körbchen", None,
    ]  # fmt: skip


def test_a_form_that_was_begun_is_gone_on_with(app):
    """Typed, left, found again under its name; planned, it is not listed any more. Two drafts do not mix."""
    kept = app.client.post("/start/form", data=sent({"name": "Autumn idea"}, do="save"), follow_redirects=False)
    where = kept.headers["location"]
    assert where.startswith("/start/form?draft=")
    other = app.client.post("/start/form", data=sent({"name": "Other idea"}, do="save"), follow_redirects=False)
    assert other.headers["location"] != where
    listed = app.client.get("/start").text
    assert "Autumn idea" in listed
    assert "Other idea" in listed
    page = app.client.get(where)
    assert 'value="Autumn idea"' in page.text
    assert 'name="colours.1.id" value="cream"' in page.text
    hidden = dict(re.findall(r'<input type="hidden" name="(draft|edition)" value="([^"]*)"', page.text))
    assert app.client.post("/start/form", data=sent() | hidden, follow_redirects=False).status_code == 303
    assert "Autumn idea" not in app.client.get("/start").text
    assert app.client.get(where).status_code == 404


def test_the_script_keeps_a_form_while_it_is_typed(app):
    first = app.client.post("/start/form", data=sent({"name": "A"}, do="save"), headers={"X-Draft": "1"}).json()
    seen = {name: str(value) for name, value in first.items()}
    typed = sent({"name": "AB"}, do="save") | seen
    assert app.client.post("/start/form", data=typed, headers={"X-Draft": "1"}).json()["edition"] == 2
    assert 'value="AB"' in app.client.get(f"/start/form?draft={first['draft']}").text
    late = app.client.post("/start/form", data=sent({"name": "AC"}, do="add-presses") | seen)
    assert late.status_code == 409
    assert "theirs says AB, yours AC" in late.text


def test_a_draft_is_its_workshops(guarded_app):
    app = guarded_app
    willow, alder = app.key("willow", "read", "plan"), app.key("alder", "read", "plan")
    data = sent({"name": "Secret"}, do="save")
    where = app.client.post("/start/form", data=data, headers=willow, follow_redirects=False).headers["location"]
    assert app.client.get(where, headers=willow).status_code == 200
    assert app.client.get(where, headers=alder).status_code == 404
    assert "Secret" not in app.client.get("/start", headers=alder).text


def typed(**more) -> dict:
    """The document of the form with more rows, or more in its first rows."""
    rows = copy.deepcopy(ROWS)
    for section, added in more.items():
        if section in rows:
            rows[section][0] |= added
        else:
            rows[section] = added
    return made_from(sent(rows=rows))


def made_from(form):
    made = make(read_form(form))
    assert made.problems == []
    return made.document


OTHERS = [
    {
        "press": "",
        "when": "mon-thu 2pm-10pm; fri 14:00-18:00; 2027-01-16 9am-1pm",
        "leaves": "PP/Cream",
        "moulds": "pp",
    },
    {"press": "Big", "when": "whenever closed", "leaves": "", "moulds": ""},
]


def test_others_work_is_said_row_by_row():
    """Days, dates and whenever we are closed; names in another spelling; read back as they were typed."""
    document = typed(others=OTHERS)
    assert document["presses"]["big"]["others"] == [
        {
            "hours": {"mon-thu": "14:00-22:00", "fri": "14:00-18:00"}, "on_dates": {"2027-01-16": "09:00-13:00"},
            "leaves": ["pp/cream"], "moulds": ["pp"],
        },
        {"whenever_closed": True},
    ]  # fmt: skip
    read(document)
    filled = filled_from(document)
    assert [row["when"] for row in filled.rows["others"]] == [
        "mon-thu 14:00-22:00; fri 14:00-18:00; 2027-01-16 09:00-13:00",
        "whenever closed",
    ]
    assert make(filled).document["presses"]["big"]["others"] == document["presses"]["big"]["others"]


@pytest.mark.parametrize(
    ("row", "field", "says"),
    [
        ({"press": "small", "when": "whenever closed"}, "others.0.press", "there is no press"),
        ({"press": "big", "leaves": "pp/cream"}, "others.0.when", "nobody says when"),
        ({"press": "big", "when": "tue 9-5"}, "others.0.when", "write am and pm"),
        ({"press": "big", "when": "tue 06:00-10:00", "leaves": "pp/mauve"}, "others.0.leaves", "no colour `mauve`"),
        ({"press": "big", "when": "tue 06:00-10:00", "moulds": "nylon"}, "others.0.moulds", "no resin `nylon`"),
    ],
)
def test_others_work_that_cannot_be_read_is_told_beside_its_field(app, row, field, says):
    rows = ROWS | {"others": [{"press": "", "when": "", "leaves": "", "moulds": ""} | row]}
    answer = app.client.post("/start/form", data=sent(rows=rows))
    assert answer.status_code == 422
    (told,) = re.findall(rf'id="{field}-problem">([^<]*)<', answer.text)
    assert says in html.unescape(told)


@pytest.mark.parametrize(
    ("said", "barrel", "runner"),
    [
        ("pp/cream", {"holds": "pp/cream"}, {"hot_runner_holds": ["pp/cream"]}),
        ("clean", {"clean": True}, {"hot_runner_clean": True}),
        ("Unknown", {"unknown": True}, {}),
        ("", {}, {}),
    ],
)
def test_first_contents_are_said_in_a_word(said, barrel, runner):
    """Of a barrel, and of a hot runner, of which the resins alone may be said too."""
    document = typed(presses={"holds": said}, tools={"hot_runner_held": said, "hot_runner_kg": "0.1"})
    (press,), tool = document["presses"].values(), document["tools"]["shell"]
    assert press["barrels"] == [{"holdup_kg": 0.8, "shot_max_g": 420} | barrel]
    assert {field: tool[field] for field in tool if field.startswith("hot_runner_") and field[11:] != "kg"} == runner
    assert make(filled_from(document)).document == document
    tool = typed(tools={"hot_runner_held": "PP", "hot_runner_kg": "0.1"})["tools"]["shell"]
    assert tool["hot_runner_has_held"] == ["pp"]


def test_people_dryers_and_lights_out_are_asked_for():
    document = typed(
        presses={"lights_out": "4"},
        resins={"dryer": "hopper", "dryer_kg": "25"},
        benches={"attended": "mon-fri 6am-6pm"},
    )
    assert document["presses"]["big"]["lights_out"] == {"hours": 4}
    assert (document["resins"]["pp"]["dryer"], document["resins"]["pp"]["dryer_kg"]) == ("hopper", 25)
    assert document["floor"]["attended"] == {"hours": {"mon-fri": "06:00-18:00"}}
    assert make(filled_from(document)).document == document


MATTERS = [
    {"what": "approval of sage", "on": "2027-01-15", "chance": "2 in 10", "late": "sage", "days": "7-10",
     "recipe": "3 in 100 at 14", "well": "it is approved", "ill": "another recipe"},
    {"what": "approval of sage", "chance": "5 %", "late": "sage", "days": "20", "ill": "it is made anew",
     "cost": "150"},
]  # fmt: skip


def test_what_is_settled_on_a_day_is_said_in_the_makers_words(app):
    """A colour's approval: two ways to go wrong in two rows, one with the recipe that takes its place; what is counted
    on comes first, and the form says it again."""
    rows = ROWS | {"settled": MATTERS, "colours": late_colours()}
    document = campaign_of(app, sent(rows=rows))
    one = read(document).uncertainty.settled["approval of sage"]
    assert one.on.isoformat() == "2027-01-15"
    assert [(name, out.chance) for name, out in one.outcomes.items()] == [
        ("it is approved", 0.75), ("another recipe", 0.2), ("it is made anew", 0.05),
    ]  # fmt: skip
    recipe = one.outcomes["another recipe"].recipes["sage"]
    assert (recipe.let_down_percent, recipe.price_per_kg) == (3, 14)
    assert one.outcomes["another recipe"].colours["sage"].likely == 8.5
    assert (one.outcomes["it is made anew"].colours["sage"].late, one.outcomes["it is made anew"].cost) == (20, 150)
    again = make(filled_from(document))
    assert again.problems == []
    assert read(again.document).uncertainty == read(document).uncertainty


def test_a_vote_says_which_colour_wins_instead(app):
    vote = {"what": "vote", "on": "2027-01-12", "chance": "4 in 10", "late": "sage", "recipe": "as cream",
            "well": "sage wins", "ill": "cream wins"}  # fmt: skip
    document = campaign_of(app, sent(rows=ROWS | {"settled": [vote], "colours": late_colours()}))
    won = read(document).uncertainty.settled["vote"].outcomes["cream wins"]
    assert (won.chance, won.recipes["sage"].colour, won.colours) == (0.4, "cream", {})
    again = make(filled_from(document))
    assert (again.problems, again.document["uncertainty"]) == ([], document["uncertainty"])


def test_a_vote_says_which_orders_change_colourway(app):
    """`50 from cream to sage` where there is one product; said again as the form was told."""
    vote = {"what": "vote", "on": "2027-01-12", "chance": "4 in 10", "moves": "50 from Sage to mixed",
            "well": "sage wins", "ill": "mixed wins"}  # fmt: skip
    document = campaign_of(app, sent(rows=ROWS | {"settled": [vote]}))
    (product,) = document["products"]
    assert document["uncertainty"]["settled"]["vote"]["outcomes"]["mixed wins"]["moves"] == [
        {"product": product, "colourway": "sage", "becomes": "mixed", "orders": 50}
    ]
    again = make(filled_from(document))
    assert (again.problems, again.document["uncertainty"]) == ([], document["uncertainty"])


@pytest.mark.parametrize(
    ("moves", "says"),
    [
        ("some from sage to mixed", "says not what moves"),
        ("50 lids from sage to mixed", "there is no product"),
        ("50 from sage to teal", "comes in no"),
        ("50 planter in pairs from sage to mixed", "there is no"),
        ("5000000 from sage to mixed", "are moved from"),
    ],
)
def test_what_moves_nothing_is_told_beside_its_field(app, moves, says):
    vote = {"what": "vote", "on": "2027-01-12", "chance": "4 in 10", "moves": moves}
    answer = app.client.post("/start/form", data=sent(rows=ROWS | {"settled": [vote]}), follow_redirects=False)
    assert answer.status_code == 422
    assert says in answer.text


def late_colours():
    """Sage comes after the day on which it is approved or not."""
    return [row | ({"lead_days": "10"} if row["id"] == "sage" else {}) for row in ROWS["colours"]]


@pytest.mark.parametrize(
    ("row", "field", "says"),
    [
        ({"chance": "rarely"}, "settled.0.chance", "7 in 10"),
        ({"chance": ""}, "settled.0.chance", "how likely"),
        ({"chance": "10 in 10"}, "settled.0.chance", "must go well"),
        ({"on": ""}, "settled.0.on", "on which day"),
        ({"what": ""}, "settled.0.what", "what is open"),
        ({"late": "teal"}, "settled.0.late", "no colour"),
        ({"late": ""}, "settled.0.late", "say what comes later"),
        ({"late": "shell", "days": "7"}, "settled.0.recipe", "only a colour"),
        ({"days": "", "recipe": ""}, "settled.0.days", "how many days"),
        ({"days": "a week"}, "settled.0.days", "7-8-10"),
        ({"recipe": "more of it"}, "settled.0.recipe", "3 in 100 at 14"),
        ({"recipe": "as teal"}, "settled.0.recipe", "no colour"),
        ({"on": "2027-03-15"}, "settled.0.days", "before it is known"),
    ],
)
def test_a_matter_that_cannot_be_read_is_told_beside_its_field(app, row, field, says):
    rows = ROWS | {"settled": [MATTERS[0] | row], "colours": late_colours()}
    answer = app.client.post("/start/form", data=sent(rows=rows))
    assert answer.status_code == 422
    told = re.search(f'id="{re.escape(field)}-problem">(.*?)<', answer.text)
    assert told, re.findall(r'id="([^"]*-problem)">(.*?)<', answer.text)
    assert says in html.unescape(told.group(1))


def test_a_trial_on_a_press_and_what_is_done_when_a_tool_is_late(app):
    """Both are asked for in the maker's words; the press is then not free for runs in those hours."""
    tools = [row | ({"ready": "2027-01-12"} if "shell" in row["makes"] else {}) for row in ROWS["tools"]]
    press = ROWS["presses"][0]["id"]
    trial = {"tool": "shell", "works": "7 in 10", "on": "2027-01-12", "rework": "7-10",
             "press": press, "hours": "8am-11am", "melts": "PP/sage"}  # fmt: skip
    benches = [ROWS["benches"][0] | {"when_late": "plan again"}]
    document = campaign_of(app, sent(rows=ROWS | {"tools": tools, "unsure": [trial], "benches": benches}))
    made = read(document)
    assert made.planning.when_late == "plan again"
    said = made.uncertainty.tools["shell"].first_trial
    assert (said.press, said.hours, said.melts) == (press, "08:00-11:00", ["pp/sage"])
    [work] = made.presses[press].others
    assert {day.isoformat(): hours for day, hours in work.on_dates.items()} == {"2027-01-12": "08:00-11:00"}
    assert (work.leaves, work.moulds) == (["pp/sage"], ["pp"])
    again = make(filled_from(document))
    assert again.problems == []
    assert read(again.document).uncertainty == made.uncertainty
    assert read(made.model_dump(mode="json")).presses == made.presses  # read again, it is there once


@pytest.mark.parametrize(
    ("row", "field", "says"),
    [
        ({"press": "small one"}, "unsure.0.press", "not among"),
        ({"hours": "at noon"}, "unsure.0.hours", ""),
        ({"melts": "abs/sage"}, "unsure.0.melts", "takes pp"),
        ({"melts": ""}, "unsure.0.works", "its day, the press, its hours and its melts"),
    ],
)
def test_a_trial_on_a_press_that_cannot_be_is_told(app, row, field, says):
    tools = [one | ({"ready": "2027-01-12"} if "shell" in one["makes"] else {}) for one in ROWS["tools"]]
    trial = {"tool": "shell", "works": "7 in 10", "on": "2027-01-12", "rework": "7-10",
             "press": ROWS["presses"][0]["id"], "hours": "08:00-11:00", "melts": "pp/sage"}  # fmt: skip
    answer = app.client.post("/start/form", data=sent(rows=ROWS | {"tools": tools, "unsure": [trial | row]}))
    assert answer.status_code == 422
    told = dict(re.findall(r'id="([^"]*)-problem">(.*?)<', answer.text))
    assert field in told, told
    assert says in html.unescape(told[field])
