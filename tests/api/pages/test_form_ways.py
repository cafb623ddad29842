"""What some makers have beside the rest, in the form: finishing, bases, price lists, suppliers, carriers, promises."""

import pytest

from api.pages import priced
from api.pages.form_changes import onto, renamed, with_names
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from api.pages.form_rows import heard, said
from api.pages.form_rows import read as read_form
from examples.situations import SITUATIONS, campaign_of
from planner.reading import read
from tests.api.pages.test_growing_form import ROWS, sent

FINISHED = {
    "finishing": [
        {"part": "shell", "what": "pad printing", "at": "Printer", "minutes": "0.5", "price": "0.02",
         "scrap_share": "1 %", "rest_hours": "2 h"},
        {"part": "tray", "what": "painting", "at": "painter", "price": "0.4", "lot_parts": "100"},
    ],
    "finishing_benches": [{"id": "printer", "people": "1", "hours": "8am-4pm", "rate_per_hour": "18"}],
    "finishing_firms": [{"id": "painter", "there_days": "1", "lead_days": "4", "back_days": "1", "lot_price": "90",
                         "leaves": "Mon, Thu", "time": "2pm"}],
}  # fmt: skip
PRICED = {
    "charges": [{"press": "big", "changeover": "45", "shift": "33", "shift_hours": "8",
                 "a_piece": "shell at 0.04; tray at €0.02", "least_a_run": "150"}],
    "pieces": [{"id": "carton", "price": "0.6", "lead_days": "10", "price_breaks": "200 at 0.5; 1,000 at 0.4",
                "comes_in": "40 % after 0; 0.6 after 7 days"}],
    "suppliers": [{"piece": "carton", "supplier": "corner shop", "pieces": "50", "lead_days": "2", "price": "0.9"}],
    "tiers": [{"id": "pair", "units": "2", "promised": "2027-02-26", "pieces": "carton"}],
}  # fmt: skip
CARRIED = {
    "carriers": [
        {"id": "post", "days": "Tue, Fri", "time": "noon", "rates": "0.25 at 2.10; 1 at 3.40", "door_days": "1-3",
         "max_kg": "2000 g"},
        {"id": "house", "to": "US", "on_dates": "2027-02-09", "time": "09:00", "rates": "1 at 4.4", "door_days": "2-4",
         "legs": "at sea 24-31; customs 2-6 days", "pallet_parcels": "40", "pallet_price": "95"},
    ],
    "tiers": [{"id": "pair", "units": "2", "promised": "2027-02-26", "promised_in": "rest of the World: 27 Feb 2027",
               "promised_to": "Door", "wave": "1"}],
}  # fmt: skip


def made(**rows):
    """The document of the form with these rows, and what could not be read."""
    found = make(read_form(sent(rows={**ROWS, **rows})))
    return found.document, found.problems


def test_work_between_press_and_assembly():
    document, problems = made(**FINISHED)
    assert not problems
    campaign = read(document)
    printing, painting = campaign.parts["shell"].finishing[0], campaign.parts["tray"].finishing[0]
    assert (printing.at, printing.minutes, printing.price, printing.scrap_share) == ("printer", 0.5, 0.02, 0.01)
    assert (printing.rest_hours, painting.at, painting.lot_parts) == (2, "painter", 100)
    painter = campaign.finishing_firms["painter"]
    assert (painter.leaves, painter.time, painter.lead_days, painter.lot_price) == (["mon", "thu"], "14:00", 4, 90)
    assert campaign.finishing_benches["printer"].hours == {"mon-fri": "08:00-16:00"}


def test_price_lists_breaks_and_suppliers():
    document, problems = made(**PRICED)
    assert not problems
    campaign = read(document)
    charges, carton = campaign.presses["big"].charges, campaign.pieces["carton"]
    assert (charges.changeover, charges.shift, charges.least_a_run) == (45, 33, 150)
    assert charges.a_piece == {"shell": 0.04, "tray": 0.02}
    assert [(one.pieces, one.price) for one in carton.price_breaks] == [(200, 0.5), (1000, 0.4)]
    assert [(one.share, one.after_days) for one in carton.comes_in] == [(0.4, 0), (0.6, 7)]
    assert [(one.supplier, one.pieces, one.lead_days, one.price) for one in carton.also_from] == [
        ("corner shop", 50, 2, 0.9)
    ]


def test_a_blocked_cavity():
    """Said where the tool is said, and shown again."""
    document, problems = made(
        tools=[{"makes": "shell x2, tray", "cycle_s": "44", "presses": "big", "blocked": "shell"}]
    )
    assert not problems
    assert document["tools"]["shell"]["blocked_cavities"] == {"shell": 1}
    assert filled_from(document).rows["tools"][0]["blocked"] == "shell"


def test_inserts_power_and_waves():
    tools = [
        {"makes": "shell x2", "cycle_s": "44", "base": "bolster", "insert_minutes": "12"},
        {"makes": "tray x2", "cycle_s": "26", "base": "bolster", "insert_minutes": "12"},
    ]
    presses = [ROWS["presses"][0] | {"draws_kw": "11.5"}]
    document, problems = made(tools=tools, presses=presses, benches=[ROWS["benches"][0] | {"price_per_kwh": "0.3"}])
    assert not problems
    campaign = read(document)
    assert {(tool.base, tool.insert_minutes) for tool in campaign.tools.values()} == {("bolster", 12)}
    assert (campaign.presses["big"].draws_kw, campaign.floor.price_per_kwh) == (11.5, 0.3)


def test_several_carriers():
    rows = {**CARRIED, "carriers": [CARRIED["carriers"][0] | {"time": "12:00"}, CARRIED["carriers"][1]]}
    document, problems = made(**rows)
    assert not problems
    campaign = read(document)
    assert "pick_ups" not in document, "each carrier has its own"
    post, house = campaign.carriers["post"], campaign.carriers["house"]
    assert (post.pick_ups.days, post.max_kg, post.rates[0].door_days) == (["tue", "fri"], 2, (1, 3))
    assert [(step.up_to_kg, step.price) for step in post.rates[0].steps] == [(0.25, 2.1), (1, 3.4)]
    assert (house.to, house.pick_ups.days, house.legs_days) == (["US"], [], (26, 37))
    assert (house.pallets.parcels, house.pallets.price) == (40, 95)
    tier = campaign.tiers["pair"]
    assert (str(tier.promised_in["world"]), tier.promised_to, tier.wave) == ("2027-02-27", "door", 1)


def test_a_press_that_stands_elsewhere():
    """A tool of which no press is named stays on our own floor."""
    small = ROWS["presses"][0] | {"id": "small", "place": "Hill works"}
    places = [{"id": "hill works", "time_zone": "Europe/Bucharest", "leaves": "Tue, Fri", "time": "2pm",
               "here_days": "3", "lot_parts": "1,500", "lot_price": "€45", "closed_days": "18 Jan 2027"}]  # fmt: skip
    document, problems = made(presses=[ROWS["presses"][0], small], places=places)
    assert not problems
    campaign = read(document)
    place = campaign.places["hill works"]
    assert (place.leaves, place.time, place.here_days, place.lot_parts, place.lot_price) == (
        ["tue", "fri"], "14:00", 3, 1500, 45,
    )  # fmt: skip
    assert ([str(day) for day in place.closed_days], place.time_zone) == (["2027-01-18"], "Europe/Bucharest")
    assert [campaign.presses[name].place for name in ("big", "small")] == [None, "hill works"]
    assert {press for tool in campaign.tools.values() for press in tool.presses} == {"big"}


def test_benches_that_stand_elsewhere():
    """And under another name of their place."""
    benches = ROWS["benches"][0] | {"assembly_place": "Hill works", "packing_place": "hill works"}
    printer = {"id": "printer", "people": "1", "place": "Hill works"}
    rows = {"benches": [benches], "finishing_benches": [printer], "places": [{"id": "hill works", "there_days": "2"}]}
    document, problems = made(**rows)
    assert not problems
    campaign = read(document)
    own = (campaign.assembly, campaign.packing, campaign.finishing_benches["printer"])
    assert {bench.place for bench in own} == {"hill works"}
    assert campaign.places["hill works"].there_days == 2
    filled = filled_from(document)
    assert filled.rows["benches"][0]["packing_place"] == filled.rows["finishing_benches"][0]["place"] == "hill works"
    filled.rows["places"][0]["id"] = "near works"
    changed = read(with_names(document, renamed(filled)))
    assert [changed.assembly.place, changed.finishing_benches["printer"].place] == ["near works"] * 2


def test_a_place_under_another_name():
    document = campaign_of("moulder-elsewhere").model_dump(mode="json", by_alias=True, exclude_unset=True)
    filled = filled_from(document)
    filled.rows["places"][0]["id"] = "near works"
    changed = read(with_names(document, renamed(filled)))
    assert list(changed.places) == [changed.presses["small"].place] == ["near works"]


@pytest.mark.parametrize(
    ("rows", "field"),
    [
        ({"finishing": [{"part": "lid", "what": "painting", "at": "painter"}]}, "finishing.0.part"),
        ({"finishing": [{"what": "painting", "at": "painter"}]}, "finishing.0.part"),
        ({"finishing_benches": [{"people": "2"}]}, "finishing_benches.0.id"),
        ({"charges": [{"press": "small", "shift": "3"}]}, "charges.0.press"),
        ({"charges": [{"press": "big", "shift": "3"}, {"press": "big", "changeover": "3"}]}, "charges.1.press"),
        ({"charges": [{"press": "big", "a_piece": "shell 0.04"}]}, "charges.0.a_piece"),
        ({"suppliers": [{"piece": "carton", "supplier": "corner shop"}]}, "suppliers.0.piece"),
        ({"pieces": [{"id": "carton", "price_breaks": "many at 0.5"}]}, "pieces.0.price_breaks"),
        ({"pieces": [{"id": "carton", "comes_in": "half now"}]}, "pieces.0.comes_in"),
        ({"carriers": [{"id": "post", "rates": "2.10"}]}, "carriers.0.rates"),
        ({"carriers": [{"id": "post", "rates": "1 at 2.10", "door_days": "soon"}]}, "carriers.0.door_days"),
        ({"carriers": [{"id": "post", "rates": "1 at 2.10", "legs": "24-31"}]}, "carriers.0.legs"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field(rows, field):
    assert [at for at, _ in made(**rows)[1]] == [field]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("at sea 24-31; customs 2", [("at sea", (24, 31)), ("customs", (2, 2))]),
        ("truck 1 to 2 days", [("truck", (1, 2))]),
    ],
)
def test_legs(text, found):
    assert priced.legs(text) == found


@pytest.mark.parametrize("name", SITUATIONS)
def test_a_situation_filled_in_and_sent_unchanged_is_the_same_campaign(name):
    """What the form cannot say stays; what it says is read back as it was."""
    document = campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)
    filled = filled_from(document)
    before, after = make(filled), make(heard(said(filled)))
    assert not before.problems
    assert read(onto(document, before.document, after.document)) == campaign_of(name)
    for section in ("carriers", "finishing_benches", "finishing_firms", "places"):
        assert set(before.document.get(section, {})) == set(document.get(section, {}))


@pytest.mark.parametrize(
    ("name", "section", "field"),
    [("painting", "finishing_firms", "price"), ("pad-printing", "finishing_benches", "minutes")],
)
def test_a_place_of_finishing_under_another_name(name, section, field):
    """Steps go with it."""
    document = campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)
    filled = filled_from(document)
    filled.rows[section][0]["id"] = "corner workshop"
    changed = read(with_names(document, renamed(filled)))
    assert list(getattr(changed, section)) == ["corner workshop"]
    assert {step.at for part in changed.parts.values() for step in part.finishing} == {"corner workshop"}
    was = campaign_of(name).parts["pot"].finishing[0]
    assert getattr(changed.parts["pot"].finishing[0], field) == getattr(was, field)


def test_a_draft_of_before_has_no_such_fields():
    kept = said(read_form(sent()))
    for rows in kept["rows"].values():
        for row in rows:
            for new in ("draws_kw", "base", "wave", "promised_in", "price_breaks", "finished_in"):
                row.pop(new, None)
    for section in ("carriers", "finishing", "charges"):
        kept["rows"].pop(section)
    assert make(heard(kept)).document == make(read_form(sent())).document


def test_what_goes_into_a_mould():
    """The core goes into the grip's mould, in charcoal, with an insert; it is no part of the planter by itself."""
    rows = {
        "parts": [{"id": "grip", "resin": "pp", "mass_g": "15"}, {"id": "core", "resin": "pp", "mass_g": "12"}],
        "tools": [{"makes": "grip x2", "cycle_s": "30"}, {"makes": "core x4", "cycle_s": "25"}],
        "pieces": [{"id": "carton"}, {"id": "brass insert", "stock": "900"}],
        "moulded_over": [
            {"part": "Grip", "takes": "core", "colours": "Sage"},
            {"part": "grip", "takes": "Brass insert", "number": "2"},
        ],
        "products": [{"id": "planter"}],
        "colourways": [{"id": "sage", "colours": "sage"}],
        "orders": [{"tier": "pair", "colourways": "sage", "count": "120"}],
    }
    document, problems = made(**rows)
    assert not problems
    campaign = read(document)
    over = campaign.parts["grip"].moulded_over
    assert [(one.part, one.colours, one.number) for one in over.parts] == [("core", ["sage"], 1)]
    assert over.pieces == {"brass insert": 2}
    assert campaign.products["planter"].parts == {"grip": 1}


def test_who_makes_how_many():
    tools = [
        {"makes": "shell x2", "cycle_s": "44", "id": "new shell"},
        {"makes": "shell", "cycle_s": "60", "id": "old shell"},
        {"makes": "tray x2", "cycle_s": "26"},
    ]
    document, problems = made(tools=tools, made_by=[{"tool": "Old shell", "colours": "sage", "shots": "1,200"}])
    assert not problems
    (one,) = read(document).planning.made_by
    assert (one.tool, one.colours, one.shots) == ("old shell", ["sage"], 1200)


def test_whose_orders_a_tier_has():
    tiers = [ROWS["tiers"][0] | {"campaign": " Pots 2026 "}]
    document, problems = made(tiers=tiers)
    assert not problems
    assert read(document).tiers["pair"].campaign == "Pots 2026"


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"part": "lid", "takes": "tray"}, "moulded_over.0.part"),
        ({"takes": "tray"}, "moulded_over.0.part"),
        ({"part": "shell", "takes": "magnet"}, "moulded_over.0.takes"),
        ({"part": "shell", "colours": "sage"}, "moulded_over.0.takes"),
        ({"part": "shell", "takes": "carton", "number": "a few"}, "moulded_over.0.number"),
    ],
)
def test_what_cannot_go_into_a_mould_is_told_beside_its_field(row, field):
    pieces = [{"id": "carton", "stock": "900"}]
    assert [at for at, _ in made(moulded_over=[row], pieces=pieces)[1]] == [field]


def test_what_is_put_together_first():
    rows = {
        "pieces": [{"id": "carton"}, {"id": "seal", "stock": "900"}],
        "products": [{"id": "planter", "parts": "shell, tray", "pieces": "seal"}],
        "finishing_benches": [{"id": "valve bench", "hours": "8am-4pm"}],
        "sub_assemblies": [
            {"id": "valve", "takes": "Tray, seal", "at": "Valve bench", "minutes": "36 s", "in_hand": "sage x7"}
        ],
    }
    document, problems = made(**rows)
    assert not problems
    valve = read(document).products["planter"].sub_assemblies["valve"]
    assert (valve.at, valve.parts, valve.pieces, valve.minutes) == ("valve bench", ["tray"], ["seal"], 0.6)
    assert valve.in_hand == {"sage": 7}


def test_people_who_stay_at_a_press():
    tools = [
        {"makes": "shell x2", "cycle_s": "44", "operators": "1 person"},
        {"makes": "tray x2", "cycle_s": "26"},
    ]
    benches = [ROWS["benches"][0] | {"operators": "2 people", "operator_rate_per_hour": "€22"}]
    document, problems = made(tools=tools, benches=benches)
    assert [at for at, _ in problems] == ["tools.0.operators"], "a person is no unit"
    tools[0]["operators"] = "1"
    document, problems = made(tools=tools, benches=benches)
    assert not problems
    campaign = read(document)
    assert {name: tool.operators for name, tool in campaign.tools.items()} == {"shell": 1, "tray": 0}
    assert (campaign.floor.operators, campaign.floor.operator_rate_per_hour) == (2, 22)


def test_people_of_another_place():
    small = ROWS["presses"][0] | {"id": "small", "place": "hill works"}
    places = [{"id": "hill works", "leaves": "Tue", "operators": "3", "operator_rate_per_hour": "19.5"}]
    document, problems = made(presses=[ROWS["presses"][0], small], places=places)
    assert not problems
    place = read(document).places["hill works"]
    assert (place.operators, place.operator_rate_per_hour) == (3, 19.5)
    filled = filled_from(document).rows["places"][0]
    assert (filled["operators"], filled["operator_rate_per_hour"]) == ("3", "19.5")


@pytest.mark.parametrize("name", ["regrind", "opens-later", "cores-from-elsewhere", "saturday-volunteers"])
def test_what_a_situation_says_is_said_by_the_form(name):
    """Ground runners, orders that open later, lots a run may be split into, a holiday and minutes to warm up."""
    campaign = campaign_of(name)
    found = make(filled_from(campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)))
    assert not found.problems
    again = read(found.document)
    assert {one: resin.regrind_share for one, resin in again.resins.items()} == {
        one: resin.regrind_share for one, resin in campaign.resins.items()
    }
    assert [line.opens for line in again.orders] == [line.opens for line in campaign.orders]
    assert again.closed_days == campaign.closed_days
    for one, tool in campaign.tools.items():
        assert again.tools[one].smallest_lot_shots == tool.smallest_lot_shots
    for one, press in campaign.presses.items():
        assert again.presses[one].restart_minutes == press.restart_minutes


def test_what_a_screw_melts_in_an_hour_is_said_of_each_barrel():
    """As its data sheet says it, in kilograms or in another unit; changing the campaign shows it again."""
    press = ROWS["presses"][0] | {"plasticising_kg_h": "12 g/s", "holdup2_kg": "0.2", "shot_max2_g": "110"}
    document, problems = made(presses=[press | {"plasticising2_kg_h": "18"}])
    assert not problems
    (found,) = document["presses"].values()
    assert [barrel["plasticising_kg_h"] for barrel in found["barrels"]] == [pytest.approx(43.2), 18]
    row = filled_from(document).rows["presses"][0]
    assert (row["plasticising_kg_h"], row["plasticising2_kg_h"]) == ("43.2", "18")


def test_what_is_in_hand_begun_or_on_its_way():
    """As a maker types it; two barrels by a plus, several lots by a semicolon."""
    parts = [{"id": "shell", "resin": "pp", "mass_g": "60", "stock": "Sage x250", "unfinished": "40 x cream"}]
    parts.append({"id": "tray", "resin": "pp", "mass_g": "20"})
    rows = {
        "presses": [ROWS["presses"][0] | {"tool": "Shell", "begins_with": "shell: Sage x300; tray: cream"}],
        "resins": [ROWS["resins"][0] | {"arrivals": "60 on 2027-01-18; 0.5 t on 1 Feb 2027"}],
        "parts": parts,
        "products": [{"id": "planter", "assembled": "sage x100", "spare_units": "Sage x20"}],
    }
    document, problems = made(**rows)
    assert not problems
    (press,) = document["presses"].values()
    assert press["tool"] == "shell"
    assert press["begins_with"] == [
        {"tool": "shell", "colours": ["sage"], "shots": 300}, {"tool": "tray", "colours": ["cream"]},
    ]  # fmt: skip
    assert document["resins"]["pp"]["arrivals"] == [
        {"on": "2027-01-18", "amount": 60}, {"on": "2027-02-01", "amount": 500},
    ]  # fmt: skip
    assert document["parts"]["shell"]["stock"] == [
        {"colours": ["sage"], "count": 250}, {"colours": ["cream"], "count": 40, "finished": False},
    ]  # fmt: skip
    planter = document["products"]["planter"]
    assert (planter["assembled"], planter["spare_units"]) == ({"sage": 100}, {"sage": 20})


@pytest.mark.parametrize(
    ("section", "row", "field"),
    [
        ("resins", {"arrivals": "60 kg next week"}, "resins.0.arrivals"),
        ("resins", {"arrivals": "some on 2027-01-18"}, "resins.0.arrivals"),
        ("presses", {"begins_with": "sage"}, "presses.0.begins_with"),
        ("presses", {"begins_with": "shell:"}, "presses.0.begins_with"),
        ("benches", {"regions": "eu"}, "benches.0.regions"),
    ],
)
def test_what_is_in_hand_and_cannot_be_read_is_told_beside_its_field(section, row, field):
    rows = [ROWS[section][0] | row, *ROWS[section][1:]]
    assert [at for at, _ in made(**{section: rows})[1]] == [field]


def test_rate_lists_of_the_only_carrier():
    """With what it takes at all; they are read again as they were typed."""
    benches = ROWS["benches"][0] | {"max_kg": "2 kg", "longest_mm": "60 cm", "step_kg": "0.1"}
    rates = [
        {"service": "letter post", "to": "GB", "rates": "0.25 at €2.10; 1 at 3.40", "door_days": "1-3"},
        {"rates": "2 at 14.5", "door_days": "7 to 21"},
    ]
    document, problems = made(benches=[benches], rates=rates)
    assert not problems
    carrier = read(document).carrier
    assert (carrier.max_kg, carrier.longest_mm, carrier.step_kg) == (2, 600, 0.1)
    first, second = carrier.rates
    assert (first.carrier, first.to, first.door_days) == ("letter post", ["GB"], (1, 3))
    assert [(step.up_to_kg, step.price) for step in first.steps] == [(0.25, 2.1), (1, 3.4)]
    assert (second.to, [(step.up_to_kg, step.price) for step in second.steps]) == ([], [(2, 14.5)])
    assert make(filled_from(document)).document["carrier"] == document["carrier"]


def test_rate_lists_of_several_carriers():
    """One stands with its carrier, others come after it."""
    rows = {**CARRIED, "carriers": [CARRIED["carriers"][0] | {"time": "12:00"}, CARRIED["carriers"][1]]}
    rows["rates"] = [{"carrier": "Post", "to": "FR, us", "rates": "2 at 14.5"}]
    document, problems = made(**rows)
    assert not problems
    assert [len(one.rates) for one in read(document).carriers.values()] == [2, 1]
    assert document["carriers"]["post"]["rates"][1]["to"] == ["FR", "US"]
    assert make(filled_from(document)).document["carriers"] == document["carriers"]


def test_what_goes_into_which_carton():
    pieces = [
        {"id": "leaflet", "price": "0.1", "lead_days": "5", "mass_g": "12 g", "packed_mm": "14 x 9.95 x 0.1 cm"},
        {"id": "box", "price": "0.6", "lead_days": "5", "inside_mm": "310x220x160", "tare_g": "180",
         "padding_mm": "1 cm"},
    ]  # fmt: skip
    tiers = [{"id": "pair", "units": "2", "promised": "2027-02-26", "pieces": "leaflet", "cartons": "Box"}]
    products = [{"id": "planter", "packed_mm": "180 x 90 x 60"}]
    document, problems = made(pieces=pieces, tiers=tiers, products=products)
    assert not problems
    campaign = read(document)
    leaflet, box = campaign.pieces["leaflet"], campaign.pieces["box"].carton
    assert (leaflet.mass_g, leaflet.packed_mm) == (12, [140, 100, 1])
    assert (box.inside_mm, box.tare_g, box.padding_mm) == ([310, 220, 160], 180, 10)
    assert (campaign.tiers["pair"].cartons, campaign.products["planter"].packed_mm) == (["box"], [180, 90, 60])
    again = make(filled_from(document)).document
    assert (again["pieces"], again["tiers"], again["products"]) == (
        document["pieces"], document["tiers"], document["products"],
    )  # fmt: skip


def test_finish_hidden_parts_heat_of_dryers_waste_and_scrap():
    rows = {
        "colours": [ROWS["colours"][0] | {"finish": "Metallic"}, *ROWS["colours"][1:]],
        "parts": [ROWS["parts"][0] | {"hidden": "ja"}, *ROWS["parts"][1:]],
        "resins": [ROWS["resins"][0] | {"drying_c": "80 °C"}],
        "benches": [
            ROWS["benches"][0]
            | {"rate_per_hour": "18", "packing_rate": "€16", "disposal_per_kg": "€0.5", "scrap_known": "yes"}
        ],
    }
    document, problems = made(**rows)
    assert not problems
    campaign = read(document)
    assert [colour.finish for colour in campaign.colours.values()][:2] == ["metallic", "solid"]
    assert [part.surface for part in campaign.parts.values()][:2] == ["hidden", "visible"]
    assert (campaign.resins["pp"].drying_c, campaign.floor.disposal_per_kg) == (80, 0.5)
    assert (campaign.assembly.rate_per_hour, campaign.packing.rate_per_hour) == (18, 16)
    assert campaign.scrap_taken == "known"
    again = make(filled_from(document)).document
    assert read(again) == campaign


def test_days_of_a_toolmaker():
    """Under the name that a step gives; of others nothing is said."""
    steps = [
        {"what": "polish", "tool": "shell", "days": "2", "by": "anna"},
        {"what": "measure", "tool": "shell", "days": "1", "by": "Ben"},
    ]
    toolmakers = [{"id": "Anna", "works_on": "Mon, Tue, Sat", "closed_days": "18 Jan 2027"}]
    document, problems = made(steps=steps, toolmakers=toolmakers)
    assert not problems
    found = read(document).toolmakers
    assert list(found) == ["Anna", "Ben"]
    assert (found["Anna"].works_on, str(found["Anna"].closed_days[0])) == (["mon", "tue", "sat"], "2027-01-18")
    filled = filled_from(document)
    assert [row["id"] for row in filled.rows["toolmakers"]] == ["Anna"]
    filled.rows["toolmakers"][0]["id"] = "Joan"
    changed = read(with_names(document, renamed(filled)))
    assert changed.tools["shell"].until_ready["polish"].by == "Joan"


def test_holidays_of_a_firm_and_further_deliveries():
    firms = [FINISHED["finishing_firms"][0] | {"closed_days": "18 Jan 2027, 2027-02-01"}]
    carton = PRICED["pieces"][0] | {
        "arrives": "2027-01-18",
        "amount": "100",
        "arrivals": "50 on 1 Feb 2027; 20 on 2027-02-08",
    }
    rows = {**FINISHED, "finishing_firms": firms, "pieces": [carton], "tiers": PRICED["tiers"]}
    document, problems = made(**rows)
    assert not problems
    campaign = read(document)
    assert [str(day) for day in campaign.finishing_firms["painter"].closed_days] == ["2027-01-18", "2027-02-01"]
    assert [one.amount for one in campaign.pieces["carton"].arrivals] == [100, 50, 20]
    again = make(filled_from(document)).document
    assert (again["pieces"], again["finishing_firms"]) == (document["pieces"], document["finishing_firms"])


@pytest.mark.parametrize(
    ("rows", "field"),
    [
        ({"rates": [{"carrier": "courier", "rates": "1 at 2"}]}, "rates.0.carrier"),
        ({**CARRIED, "rates": [{"rates": "1 at 2"}]}, "rates.0.carrier"),
        ({"rates": [{"to": "GB"}]}, "rates.0.rates"),
        ({"rates": [{"rates": "2.10"}]}, "rates.0.rates"),
        ({"pieces": [{"id": "carton", "packed_mm": "120 x 80"}]}, "pieces.0.packed_mm"),
        ({"pieces": [{"id": "carton", "inside_mm": "12 x 8 x 5 kg"}]}, "pieces.0.inside_mm"),
        ({"pieces": [{"id": "carton", "arrivals": "50"}]}, "pieces.0.arrivals"),
        ({"parts": [ROWS["parts"][0] | {"hidden": "perhaps"}, *ROWS["parts"][1:]]}, "parts.0.hidden"),
    ],
)
def test_what_is_new_and_cannot_be_read_is_told_beside_its_field(rows, field):
    assert [at for at, _ in made(**rows)[1]] == [field]


def test_single_days_that_differ_and_days_without_a_pick_up():
    """A Saturday with volunteers, a morning off, a press that is serviced, a carrier on holiday."""
    presses = [ROWS["presses"][0] | {"on_dates": "18 Jan 2027 closed; 2027-01-23: 6am-2pm"}]
    printer = FINISHED["finishing_benches"][0] | {"on_dates": "16.1.2027 9:00-13:00 x3"}
    benches = [
        ROWS["benches"][0]
        | {"assembly_on_dates": "2027-01-19 10am-4pm", "packing_on_dates": "16 Jan 2027 09:00-13:00 x6"}
        | {"pick_ups_on": "20 Jan 2027", "pick_ups_not_on": "29 Jan 2027, 2027-02-05"}
        | {"girth_mm": "3 m", "whole_cm": "yes"}
    ]
    document, problems = made(**{**FINISHED, "presses": presses, "finishing_benches": [printer], "benches": benches})
    assert not problems
    campaign = read(document)

    def days(it):
        return {str(day): spans for day, spans in it.on_dates.items()}

    assert days(campaign.presses["big"]) == {"2027-01-18": "closed", "2027-01-23": "06:00-14:00"}
    assert days(campaign.finishing_benches["printer"]) == {"2027-01-16": "09:00-13:00 x3"}
    assert days(campaign.assembly) == {"2027-01-19": "10:00-16:00"}
    assert days(campaign.packing) == {"2027-01-16": "09:00-13:00 x6"}
    assert list(map(str, campaign.pick_ups.on_dates)) == ["2027-01-20"]
    assert list(map(str, campaign.pick_ups.not_on)) == ["2027-01-29", "2027-02-05"]
    assert (campaign.carrier.girth_mm, campaign.carrier.whole_cm) == (3000, True)
    again = make(filled_from(document))
    assert not again.problems
    assert again.document == document


def test_limits_and_holidays_of_one_of_several_carriers():
    post = CARRIED["carriers"][0] | {"time": "12:00", "girth_mm": "300 cm", "whole_cm": "ja", "not_on": "29 Jan 2027"}
    document, problems = made(**{**CARRIED, "carriers": [post, CARRIED["carriers"][1]]})
    assert not problems
    campaign = read(document)
    one, other = campaign.carriers["post"], campaign.carriers["house"]
    assert (one.girth_mm, one.whole_cm, list(map(str, one.pick_ups.not_on))) == (3000, True, ["2027-01-29"])
    assert (other.girth_mm, other.whole_cm, other.pick_ups.not_on) == (None, False, [])
    assert make(filled_from(document)).document["carriers"] == document["carriers"]


@pytest.mark.parametrize(("typed", "place"), [("far works", "far works"), ("Far-Works", "far works"), ("Here", None)])
def test_where_a_tool_works_that_may_go_to_several_places(typed, place):
    document = campaign_of("tool-to-either-place").model_dump(mode="json", by_alias=True, exclude_unset=True)
    filled = filled_from(document)
    (row,) = (row for row in filled.rows["tools"] if row["id"] == "foot")
    assert row["made_at"] == "", "the plan seeks"
    row["made_at"] = typed
    made = make(filled)
    assert not made.problems
    (stands,) = read(made.document).planning.made_at
    assert (stands.tool, stands.place) == ("foot", place)
    again = filled_from(made.document)
    assert [one["made_at"] for one in again.rows["tools"] if one["id"] == "foot"] == [place or "here"]
    assert make(again).document["planning"] == made.document["planning"]
    names = {"places": {"far works": "hill"}, "tools": {"foot": "base"}}
    said = with_names(made.document, names)["planning"]["made_at"]
    assert said == [{"tool": "base"} | ({"place": "hill"} if place else {})]


@pytest.mark.parametrize(
    ("rows", "field"),
    [
        ({"presses": [ROWS["presses"][0] | {"on_dates": "2027-01-18"}]}, "presses.0.on_dates"),
        ({"presses": [ROWS["presses"][0] | {"on_dates": "2027-01-18 closed; 18 Jan 2027 6-14"}]}, "presses.0.on_dates"),
        ({"benches": [ROWS["benches"][0] | {"packing_on_dates": "sat"}]}, "benches.0.packing_on_dates"),
        ({"benches": [ROWS["benches"][0] | {"whole_cm": "perhaps"}]}, "benches.0.whole_cm"),
        ({"benches": [ROWS["benches"][0] | {"pick_ups_not_on": "1/2/2027"}]}, "benches.0.pick_ups_not_on"),
    ],
)
def test_what_cannot_be_read_of_single_days_is_told_beside_its_field(rows, field):
    _, problems = made(**rows)
    assert [at for at, _ in problems] == [field]


def test_a_day_that_is_none_is_told_beside_its_field(app):
    """What the document refuses comes back to the field it was typed in."""
    rows = {"presses": [ROWS["presses"][0] | {"on_dates": "sat 6-14"}]}
    form = sent(rows={**ROWS, **rows})
    answer = app.client.post("/start/form", data=form | {"do": "plan"}, follow_redirects=False)
    assert answer.status_code == 422
    assert 'id="presses.0.on_dates-problem"' in answer.text
