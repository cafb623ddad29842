"""POST /v1/purge/findings: colour sanity of a campaign, before it is planned."""

import copy

from tests.planner_double import SMALL_CAMPAIGN

POSTED = "/v1/purge/findings"


def campaign(colours, orders=None, **tool):
    """A campaign of one cup in these colours (id -> document), ordered in each of them or as given."""
    made = copy.deepcopy(SMALL_CAMPAIGN)
    made["tools"]["cup"] |= tool
    made["colours"] = {name: {"lead_days": 3} | look for name, look in colours.items()}
    made["products"]["cup"]["colourways"] = {name: {"cup": [name]} for name in colours}
    made["orders"] = [{"tier": "one", "units": {"cup": [name]}, "count": 50} for name in orders or colours]
    return made


def test_two_near_colours_are_found_with_tool_and_remedy(app):
    near = campaign({"white": {"hex": "#ffffff"}, "chalk": {"hex": "#fdfdfb"}, "ink": {"hex": "#232a3f"}})
    (found,) = app.client.post(POSTED, json=near).json()["findings"]
    assert (found["kind"], found["tool"], found["barrel"]) == ("colours too near", "cup", 1)
    assert found["concerns"] == ["chalk", "white"]
    assert found["remedy"]


def test_colours_nobody_ordered_are_no_finding(app):
    near = campaign({"white": {"hex": "#ffffff"}, "chalk": {"hex": "#fdfdfb"}}, orders=["white"])
    assert app.client.post(POSTED, json=near).json()["findings"] == []


def test_white_behind_black_in_a_hot_runner_cannot_be_ordered_away(app):
    """The tool is mounted full of black: even the best order begins with the hard change; another tool has none."""
    black = campaign({"white": {"hex": "#ffffff"}, "black": {"hex": "#101010"}}, ["white"], hot_runner_kg=[0.2])
    black["presses"]["p1"]["tool"] = "cup"
    black["presses"]["p1"]["barrels"][0]["holds"] = "pp/black"
    black["purging"] = {"compound": {"price_per_kg": 6}}
    (found,) = app.client.post(POSTED, json=black).json()["findings"]
    assert found["kind"] == "hard change on the only hot-runner tool"
    assert (found["tool"], found["press"], found["barrel"]) == ("cup", "p1", 1)
    assert found["concerns"] == ["pp in black", "pp in white"]
    assert "purging compound" in found["remedy"]
    del black["presses"]["p1"]["tool"]
    assert app.client.post(POSTED, json=black).json()["findings"] == []


def test_a_body_and_a_rim_that_clash(app):
    """Light body with dark rim and the reverse, in one two-shot tool."""
    clash = campaign({"white": {"hex": "#ffffff"}, "sage": {"hex": "#9caf88"}, "black": {"hex": "#101010"}})
    clash["presses"]["p1"]["barrels"].append({"holdup_kg": 0.4, "shot_max_g": 200})
    clash["resins"]["tpe"] = {"family": "TPE", "lead_days": 3}
    clash["parts"]["cup"]["barrels"].append({"resin": "tpe", "mass_g": 40})
    pairs = {"white": ["white", "black"], "sage": ["sage", "sage"], "black": ["black", "white"]}
    clash["products"]["cup"]["colourways"] = {name: {"cup": colours} for name, colours in pairs.items()}
    answer = app.client.post(POSTED, json=clash).json()
    (found,) = answer["findings"]
    assert (found["kind"], found["tool"], found["press"]) == ("cleaning orders clash", "cup", "p1")
    assert "together they purge" in found["message"]
    assert [c["colour"] for c in answer["cautions"]] == ["white"], "a pure white elastomer marks and yellows"


def test_finishes_and_strong_pigments_bring_cautions(app):
    """Common practice, and said to be."""
    looks = {
        "steel": {"hex": "#a8a9ad", "finish": "metallic"},
        "shell": {"hex": "#e8e4da", "finish": "pearlescent"},
        "ink": {"hex": "#232a3f", "strength": 2},
        "sage": {"hex": "#8fa58a"},
    }
    said = {c["colour"]: c["cautions"] for c in app.client.post(POSTED, json=campaign(looks)).json()["cautions"]}
    assert set(said) == {"steel", "shell", "ink"}
    assert "flow and weld lines" in said["steel"][0]
    assert "white yellowish" in said["shell"][0]
    assert "strong pigment" in said["ink"][0]
    assert all("common practice, no source" in text for texts in said.values() for text in texts)


def test_a_campaign_that_contradicts_itself_is_answered_like_everywhere(app):
    wrong = campaign({"white": {"hex": "#ffffff"}}, orders=["puce"])
    answer = app.client.post(POSTED, json=wrong)
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/campaign"


def test_too_much_for_one_question_says_where_it_belongs(app):
    wrong = campaign({"white": {"hex": "#ffffff"}, "ink": {"hex": "#232a3f"}})
    wrong["purging"] = {"log": [{"press": "p1", "from": "pp/white", "to": "pp/ink", "kg": 1}] * 1001}
    answer = app.client.post(POSTED, json=wrong)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/purging/log"
