"""POST /v1/purge/colour-changes: figures, range, money; as JSON, as a list, as a picture."""

import csv
import io
import math
import re
import xml.etree.ElementTree as ET

import pytest

from api.languages.wording import kilograms as kilograms_said
from api.pictures.colours import ink_on, luminance
from tests.api.purge.asking import SVG, ask, greys, kilograms, question, texts


def test_every_ordered_pair_with_everything_a_reader_wants(app):
    """Four colours, twelve changes, each with its range, shots, time, money and what it rests on."""
    said = ask(app, "colour-changes", question()).json()
    assert [melt["melt"] for melt in said["melts"]] == ["pp/cream", "pp/sage", "pp/terracotta", "pp/ink"]
    assert len(kilograms(said)) == len(said["changes"]) == 12
    for change in said["changes"]:
        assert 0 < change["kg_p10"] <= change["kg"] <= change["kg_p90"]
        # 0.85 kg in the barrel, 0.14 in the hot runner, alike in hold-ups but where a figure is given for the barrel
        if change["basis"] == "estimated":
            assert change["shots"] == math.ceil(round(change["kg"] * 0.14 / 0.99, 3) * 1000 / 124)
            kg_h = 0.5 * 89.7 * 0.73 / 0.945  # 100 x 0.85 ^ (2/3); a light melt's density, since none is said
            assert change["minutes"] == pytest.approx(
                change["kg"] * 0.85 / 0.99 / kg_h * 60 + change["shots"] * 20 / 60, abs=0.05
            )
        assert change["money"] == pytest.approx(change["kg"] * (1.9 + 0.35) + change["minutes"] / 60 * 48, abs=0.02)
        assert change["because"]


def test_the_check_values_of_black_and_white_over_http(app):
    """Kubelka-Munk with R .9 and .04: 7.59 stirred hold-ups from black to white, 2.25 back (computed)."""
    flat = {"white": {"reflectance": [0.9] * 31}, "black": {"reflectance": [0.04] * 31}}
    found = kilograms(ask(app, "colour-changes", greys(0, colours=flat)).json())
    assert found["resin/black", "resin/white"] == pytest.approx(7.59, abs=0.01)
    assert found["resin/white", "resin/black"] == pytest.approx(2.25, abs=0.01)


def test_darker_to_lighter_never_less_than_back_and_more_hold_up_never_less(app):
    """The properties of the sum hold for whoever asks over HTTP."""
    levels = (20, 60, 110, 180, 240)
    small = kilograms(ask(app, "colour-changes", greys(*levels)).json())
    large = kilograms(ask(app, "colour-changes", greys(*levels, barrel={"holdup_kg": 1, "hot_runner_kg": 0.5})).json())
    wide = kilograms(ask(app, "colour-changes", greys(*levels, purging={"visible_tolerance": 2})).json())
    for (old, new), kg in small.items():
        assert large[old, new] == pytest.approx(1.5 * kg, abs=0.002)
        assert wide[old, new] <= kg
        if old < new:  # darker to lighter
            assert kg >= small[new, old]


def test_given_measured_and_log_decide_in_that_order(app):
    """A log entry of the pair beats a given figure, which beats the estimate; another barrel's entry counts nowhere."""
    entry = {"press": "twin", "from": "pp/ink", "to": "pp/sage", "kg": 5}
    elsewhere = {"press": "other", "from": "pp/sage", "to": "pp/ink", "kg": 9}
    absurd = {"press": "twin", "from": "pp/sage", "to": "pp/cream", "kg": 900}
    asked = question(barrel={"press": "twin", "holdup_kg": 0.85})
    asked["purging"]["log"] = [entry, elsewhere, absurd]
    asked["purging"]["given"].append({"from": "pp/ink", "to": "pp/sage", "kg": 7})
    said = ask(app, "colour-changes", asked).json()
    basis = {(c["from"], c["to"]): (c["basis"], c["kg"]) for c in said["changes"]}
    assert basis["pp/ink", "pp/sage"] == ("measured", 5.0)
    assert basis["pp/ink", "pp/cream"] == ("given", 4.6)
    assert basis["pp/sage", "pp/ink"][0] == "estimated"
    assert said["barrel"]["entries"] == 1
    assert [(one["entry"], one["from"]) for one in said["set_aside"]] == [("2", "pp/sage")]
    assert "check the unit" in said["set_aside"][0]["reason"]


def test_an_entry_of_a_colour_nobody_asked_about_is_left_out(app):
    """Its look is not known. Of a known colour in another resin it counts; neither shows as a change asked about."""
    asked = question(barrel={"press": "twin", "holdup_kg": 0.85})
    plain = ask(app, "colour-changes", asked).json()["changes"]
    strange = {"press": "twin", "from": "pp/purple", "to": "pp/sage", "kg": 2}
    asked["purging"]["log"] = [strange]
    said = ask(app, "colour-changes", asked)
    assert said.status_code == 200, said.text
    pairs = [(one["from"], one["to"]) for one in said.json()["changes"]]
    assert pairs == [(one["from"], one["to"]) for one in plain]
    asked["purging"]["log"] = [strange | {"from": "tpe/ink"}]
    assert [(one["from"], one["to"]) for one in ask(app, "colour-changes", asked).json()["changes"]] == pairs


def test_compound_and_resin_pairs_have_figures_of_their_own(app):
    """A cheap compound replaces only what it undercuts, and says how much of it is compound."""
    asked = greys(10, 245)
    plain = kilograms(ask(app, "colour-changes", asked).json())
    asked["purging"] = {"compound": {"price_per_kg": 1.2, "holdups": 1, "rinse_holdups": 2}}
    changes = {(c["from"], c["to"]): c for c in ask(app, "colour-changes", asked).json()["changes"]}
    hard, easy = changes["resin/g010", "resin/g245"], changes["resin/g245", "resin/g010"]
    assert (hard["kg"], hard["compound_kg"]) == (3.0, 1.0)
    assert hard["money"] == pytest.approx(2 * 1 + 1 * 1.2)
    assert (easy["kg"], easy["compound_kg"]) == (plain["resin/g245", "resin/g010"], 0.0)
    two = greys(245, melts=["pp/g245", "tpe/g245"])
    two["purging"] = {"resin_changes": [{"from": "pp", "to": "tpe", "holdups": 9}]}
    assert kilograms(ask(app, "colour-changes", two).json()) == {
        ("pp/g245", "tpe/g245"): 9.0,
        ("tpe/g245", "pp/g245"): 4.0,  # the general figure: common practice
    }


def test_a_hidden_surface_needs_no_more_than_a_visible_one(app):
    asked = greys(30, 200)
    visible = kilograms(ask(app, "colour-changes", asked).json())
    for colour in asked["colours"].values():
        colour["surface"] = "hidden"
    hidden = kilograms(ask(app, "colour-changes", asked).json())
    assert all(hidden[pair] < kg for pair, kg in visible.items())


def test_the_list_says_the_same_as_the_document(app):
    """text/csv: one change a row."""
    said = ask(app, "colour-changes", question()).json()
    text = ask(app, "colour-changes", question(), Accept="text/csv")
    assert text.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(text.text)))
    assert [(r["from"], r["to"], float(r["kg"]), r["basis"], r["currency"]) for r in rows] == [
        (c["from"], c["to"], c["kg"], c["basis"], "GBP") for c in said["changes"]
    ]


def rows_of(svg):
    """The picture read back: for each colour in the barrel its followers' groups, in the order drawn."""
    held = [group for group in ET.fromstring(svg).iter(f"{SVG}g") if group.get("class") == "held"]
    return [[one for one in row.iter(f"{SVG}g") if one.get("class") == "follower"] for row in held]


def depth_of(follower):
    """How far a change hangs, user units."""
    return float(re.search(r" v([\d.]+) ", follower.find(f"{SVG}path").get("d"))[1])


def painted(svg):
    """Pattern id -> the colour under its strokes."""
    return {p.get("id"): p.find(f"{SVG}rect").get("fill") for p in ET.fromstring(svg).iter(f"{SVG}pattern")}


@pytest.mark.parametrize("width", [320, 1000])
def test_the_picture_hangs_followers_from_each_colour_cheapest_first(app, width):
    """Every change once, under the colour it starts from, painted in both colours, as deep as it takes kilograms."""
    said = ask(app, "colour-changes", question()).json()
    answer = ask(app, f"colour-changes?width={width}", question(), Accept="image/svg+xml")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert "style=" not in answer.text, "the page's policy forbids styles in attributes"
    hexes, paint = {melt["melt"]: melt["hex"] for melt in said["melts"]}, painted(answer.text)
    changes = {(change["from"], change["to"]): change for change in said["changes"]}
    rows = rows_of(answer.text)
    assert [len(row) for row in rows] == [3, 3, 3, 3]
    for melt, row in zip(hexes, rows, strict=True):
        drawn = [changes[melt, one.find(f"{SVG}title").text.split(":")[0].split(" to ")[1]] for one in row]
        assert [one["money"] for one in drawn] == sorted(one["money"] for one in drawn)
        assert len({one["to"] for one in drawn}) == 3
        for follower, change in zip(row, drawn, strict=True):
            comes, there = (path.get("fill")[5:-1] for path in follower.findall(f"{SVG}path")[:2])
            assert (paint[there], paint[comes]) == (hexes[melt], hexes[change["to"]])
            words = [text.text for text in follower.findall(f"{SVG}text")]
            assert words[0] == change["to"].partition("/")[2]
            assert words[1] == kilograms_said(change["kg"])
            range_said = [float(figure) for figure in words[2].split("–")]
            assert range_said == pytest.approx([change["kg_p10"], change["kg_p90"]], abs=0.051)
            assert (words[-1] == "your figure") == (change["basis"] == "given")
            title = follower.find(f"{SVG}title").text
            assert f"{change['shots']} shots" in title
            assert change["because"] in title
    depths = {round(depth_of(one) / changes_kg, 1) for row in rows for one, changes_kg in by_kg(row, changes)}
    assert max(depths) - min(depths) <= 0.11, "one scale for all rows"
    assert all(float(x) <= width for x in re.findall(r' x="([\d.]+)"', answer.text))


def by_kg(row, changes):
    """Each follower's group with its kilograms."""
    for one in row:
        before, after = one.find(f"{SVG}title").text.split(":")[0].split(" to ")
        yield one, changes[before, after]["kg"]


def test_fifteen_colours_stand_in_lines_that_fit(app):
    """On a phone's width nothing runs over the edge; every one of 210 changes is there, each with its words."""
    asked = greys(*range(10, 250, 16))
    svg = ask(app, "colour-changes?width=320", asked, Accept="image/svg+xml").text
    rows = rows_of(svg)
    assert [len(row) for row in rows] == [14] * 15
    assert all(one.find(f"{SVG}title").text for row in rows for one in row)
    bars = [float(x) for x in re.findall(r'x2="([\d.]+)"', svg)]
    assert len(bars) >= 15 * 3, "followers that do not fit go on in a line below"
    assert max(bars) <= 320
    patterns = {path.get("d") for p in ET.fromstring(svg).iter(f"{SVG}pattern") for path in p.iter(f"{SVG}path")}
    assert len(patterns) == 12, "without colour, patterns tell them apart, and beyond twelve their size does"


def test_the_ink_on_a_colour_can_be_read():
    """WCAG 2.2: white on black 21 to 1, so luminance 1 and 0; black or white never less than 4.5 on any grey."""
    assert luminance("#ffffff") == pytest.approx(1)
    assert luminance("#000000") == pytest.approx(0)
    for v in range(256):
        fill = f"#{v:02x}{v:02x}{v:02x}"
        light, dark = sorted((luminance(fill), luminance(ink_on(fill))), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_a_long_name_is_cut_and_one_melt_alone_is_a_picture_too(app):
    name = "a" * 40
    svg = ask(app, "colour-changes", greys(0, colours={name: {"hex": "#112233"}}), Accept="image/svg+xml").text
    assert any(word.endswith("…") for word in texts(svg))
    assert any("nothing to purge" in word for word in texts(svg))


def test_the_address_before_leads_to_the_new_one(app):
    """Method, document and parameters go along; the OpenAPI document says that it will go."""
    there = app.client.post("/v1/purge/matrix?width=500", json=question(), follow_redirects=False)
    assert (there.status_code, there.headers["location"]) == (308, "/v1/purge/colour-changes?width=500")
    assert app.client.post("/v1/purge/matrix", json=question()).json() == (
        ask(app, "colour-changes", question()).json()
    )
    assert app.client.get("/v1/openapi.json").json()["paths"]["/v1/purge/matrix"]["post"]["deprecated"]


@pytest.mark.parametrize(
    ("changes", "pointer", "words"),
    [
        ({"colours": {}}, "/colours", ""),
        ({"colours": {"c": {"hex": "green"}}}, "/colours/c/hex", ""),
        ({"colours": {"c": {"lab": [120, 0, 0]}}}, "/colours/c/lab/0", ""),
        ({"shot_g": 0}, "/shot_g", ""),
        ({"melts": ["pp/nowhere"]}, "/melts/0", "nowhere"),
        ({"melts": ["pp/cream", "pp/cream"]}, "/melts", "twice"),
        ({"barrel": {"holdup_kg": 1, "holds": "pp/puce"}}, "/barrel/holds", "puce"),
        ({"barrel": {"holdup_kg": 1, "holds": "cream"}}, "/barrel/holds", ""),
        ({"surprise": 1}, "/surprise", ""),
        ({"purging": {"given": [{"from": "pp/ink", "to": "pp/ink", "kg": 1}]}}, "/purging/given/0", "itself"),
        ({"purging": {"given": [{"from": "pp/ink", "to": "pp/sage", "kg": 1}] * 2}}, "/purging/given/1", "twice"),
    ],
)
def test_a_bad_question_is_told_where_and_why(app, changes, pointer, words):
    """Problem documents with a pointer to the field; nothing ends in a fault of ours."""
    answer = app.client.post("/v1/purge/colour-changes", json=question(**changes))
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    errors = {error["pointer"]: error["message"] for error in answer.json()["errors"]}
    assert pointer in errors
    assert words in errors[pointer]


def test_forms_we_do_not_have_and_kinds_we_do_not_read(app):
    here, twice = "/v1/purge/colour-changes", b'{"barrel": {}, "barrel": {}}'
    assert app.client.post(here, json=question(), headers={"Accept": "image/png"}).status_code == 406
    assert app.client.post(here, content=b"{}").status_code == 415
    assert app.client.post(here, content=twice, headers={"Content-Type": "application/json"}).status_code == 400


def test_the_openapi_document_shows_a_question_that_works(app):
    """Its example is accepted by the endpoint it stands at, and every schema it names is there."""
    document = app.client.get("/v1/openapi.json").json()
    for path in ("/v1/purge/colour-changes", "/v1/purge/order"):
        told = document["paths"][path]["post"]
        body = told["requestBody"]["content"]["application/json"]
        assert app.client.post(path, json=body["example"]).status_code == 200
        assert body["schema"]["$ref"].rpartition("/")[2] in document["components"]["schemas"]
    assert "image/svg+xml" in document["paths"]["/v1/purge/colour-changes"]["post"]["responses"]["200"]["content"]
    log = document["paths"]["/v1/purge/log"]["post"]["requestBody"]["content"]["application/json"]
    assert app.client.post("/v1/purge/log", json=log["example"]).status_code == 201


HUGE = [
    ({"barrel": {"holdup_kg": 1e8}}, "/barrel/holdup_kg"),
    ({"barrel": {"holdup_kg": 1, "hot_runner_kg": 1e9}}, "/barrel/hot_runner_kg"),
    ({"shot_g": 1e-6}, "/barrel/holdup_kg"),
    ({"purging": {"given": [{"from": "resin/g010", "to": "resin/g245", "kg": 1e9}]}}, "/purging/given/0/kg"),
    ({"purging": {"resin_change_holdups": 1e9}}, "/purging/resin_change_holdups"),
    ({"purging": {"compound": {"price_per_kg": 1, "holdups": 1e9}}}, "/purging/compound/holdups"),
    (
        {"purging": {"log": [{"press": "press", "from": "resin/g010", "to": "resin/g245", "kg": 1e9}]}},
        "/purging/log/0/kg",
    ),
]


@pytest.mark.parametrize(("change", "where"), HUGE, ids=[where for _, where in HUGE])
@pytest.mark.filterwarnings("error")
def test_kilograms_that_no_shots_get_through_name_their_field(app, change, where):
    """Not a figure cast from infinity, but the field and what to do."""
    answer = app.client.post("/v1/purge/colour-changes", json=greys(10, 245) | change)
    assert answer.status_code == 422
    told = {problem["pointer"]: problem for problem in answer.json()["errors"]}
    assert "shots of" in told[where]["message"]
    assert "grams" in told[where]["remedy"]
