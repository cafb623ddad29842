"""Each contradiction is found, at its field, in the maker's words, with a remedy."""

import pytest
from spoiling import REMOVED, problems

TWO_SHOT_SOLO = "tools shell presses"
PVC = {"family": "PVC", "lead_days": 3}
POM = {"family": "POM", "lead_days": 3}

# (what is spoilt, pointer of a problem that must come, words that its message must hold)
SPOILT = [
    # ids that name nothing
    ({"tools shell presses": ["twim"]}, "/tools/shell/presses/0", "there is no press `twim`"),
    ({"tools bits cavities": {"cup": 4, "plug": 2, "plgu": 1}}, "/tools/bits/cavities/plgu", "no part `plgu`"),
    ({"presses twin tool": "shel"}, "/presses/twin/tool", "no tool `shel`"),
    ({"presses twin barrels 0 holds": "ppp/cream"}, "/presses/twin/barrels/0/holds", "no resin `ppp`"),
    ({"presses twin barrels 0 holds": "pp/craem"}, "/presses/twin/barrels/0/holds", "no colour `craem`"),
    ({"parts cup barrels 0 resin": "abs"}, "/parts/cup/barrels/0/resin", "no resin `abs`"),
    ({"parts cup stock 0 colours": ["gold"]}, "/parts/cup/stock/0/colours/0", "no colour `gold`"),
    ({"resins pp natural_colour": "none"}, "/resins/pp/natural_colour", "no colour `none`"),
    ({"forbidden_pairs": [{"one": "pp", "other": "pvc"}]}, "/forbidden_pairs/0/other", "no resin `pvc`"),
    ({"products planter pieces": {"rope": 1}}, "/products/planter/pieces/rope", "no bought-in piece `rope`"),
    ({"products planter parts lid": 1}, "/products/planter/parts/lid", "no part `lid`"),
    (
        {"products planter colourways cream shell": ["cream", "gold"]},
        "/products/planter/colourways/cream/shell/1",
        "no colour `gold`",
    ),
    ({"tiers single units": {"plantre": 1}}, "/tiers/single/units/plantre", "no product `plantre`"),
    ({"tiers single pieces": {"leaf": 1}}, "/tiers/single/pieces/leaf", "no bought-in piece `leaf`"),
    ({"purging given 0 press": "tvin"}, "/purging/given/0/press", "no press `tvin`"),
    ({"purging given 0 from": "pp/gold"}, "/purging/given/0/from", "no colour `gold`"),
    ({"purging log 0 tool": "bit"}, "/purging/log/0/tool", "no tool `bit`"),
    (
        {"presses twin begins_with": [{"tool": "shall", "colours": ["cream", "slate"]}]},
        "/presses/twin/begins_with/0/tool",
        "no tool `shall`",
    ),
    # orders
    ({"orders 0 tier": "singel"}, "/orders/0/tier", "there is no tier `singel`"),
    ({"orders 1 units planter": ["cream"]}, "/orders/1/units/planter", "chooses 1 colourway of `planter`"),
    ({"orders 1 units planter": ["cream", "gold"]}, "/orders/1/units/planter/1", "asks for colourway `gold`"),
    ({"orders 2 extra_units": {"planter": ["gold"]}}, "/orders/2/extra_units/planter/0", "order line 3 asks for"),
    ({"orders 0 units": {"vase": ["cream"]}}, "/orders/0/units/vase", "no product `vase`"),
    ({"orders 0 units": {"vase": ["cream"]}}, "/orders/0/units", "chooses 0 colourways"),
    ({"orders 0 extra_pieces": {"rope": 1}}, "/orders/0/extra_pieces/rope", "no bought-in piece `rope`"),
    ({"regions world": ["US"]}, "/regions/world", "region `world` is called as all countries are that no region lists"),
    # products and parts
    (
        {"products planter colourways cream cup": REMOVED},
        "/products/planter/colourways/cream",
        "says no colours for part `cup`",
    ),
    (
        {"products planter colourways cream shell": ["cream"]},
        "/products/planter/colourways/cream/shell",
        "names one colour for part `shell`, which has 2 barrels",
    ),
    (
        {"products planter sub_assemblies": {"insert": {"at": "table", "parts": ["cup", "lid"]}}},
        "/products/planter/sub_assemblies/insert/parts/1",
        "`lid` goes into `insert`, but `planter` has none",
    ),
    (
        {"products planter parts": {"shell": 1, "cup": 1}},
        "/products/planter/colourways/cream/plug",
        "is no part of `planter`",
    ),
    ({"parts shell stock": [{"colours": ["cream"], "count": 1}]}, "/parts/shell/stock/0/colours", "names one colour"),
    ({"tools bits cavities": {"cup": 4}}, "/parts/plug", "part `plug` is made by no tool"),
    (
        {"parts cup moulded_over": {"parts": [{"part": "plug", "colours": ["cream"]}]}},
        "/parts/cup/moulded_over/parts/0/part",
        "`plug` must be there before `cup` is moulded over it, and needs it or its tool itself",
    ),
    ({"parts cup moulded_over": {}}, "/parts/cup/moulded_over", "part `cup` is moulded over nothing"),
    (
        {"parts shell moulded_over": {"parts": [{"part": "cup", "colours": ["cream", "cream"]}]}},
        "/parts/shell/moulded_over/parts/0/colours",
        "`cup` is shot from one barrel, 2 of its colours are named",
    ),
    (
        {"planning": {"made_by": [{"tool": "bits", "colours": ["cream"], "shots": 5}]}},
        "/planning/made_by/0/tool",
        "tool `bits` makes nothing that another tool makes too",
    ),
    # tools
    ({TWO_SHOT_SOLO: ["solo"]}, "/tools/shell/presses", "fits no press with two barrels: `solo` has one barrel"),
    ({"tools shell clamp_kn": 1600}, "/tools/shell/presses", "`twin` clamps 1500 kN and the tool asks for 1600"),
    (
        {"parts shell barrels 0 mass_g": 160},
        "/tools/shell/presses",
        "shot of 320 g is larger than the 300 g barrel 1 of `twin` injects",
    ),
    (
        {"parts shell barrels 0 mass_g": 9},
        "/tools/shell/presses",
        "its shot of 18 g is below the 20 g barrel 1 of `twin` meters well",
    ),
    (
        {"parts plug barrels 0 resin": "tpe"},
        "/tools/bits/cavities/plug",
        "makes `cup` of pp and `plug` of tpe: one shot cannot do both",
    ),
    ({"tools bits blocked_cavities": {"cup": 4}}, "/tools/bits/blocked_cavities/cup", "all 4 cavities of `cup`"),
    ({"tools bits blocked_cavities": {"lid": 1}}, "/tools/bits/blocked_cavities/lid", "has no cavities of `lid`"),
    ({"tools bits runner_g": [3, 3]}, "/tools/bits/runner_g", "uses one barrel, but `runner_g` gives 2 masses"),
    # presses
    ({"presses twin hours": {}}, "/presses/twin/hours", "press `twin` never opens"),
    (
        {"presses solo hours": {"mon-sun": "closed"}, "tools bits presses": ["solo"]},
        "/presses/solo/hours",
        "press `solo` never opens",
    ),
    ({"presses solo tool": "shell"}, "/presses/solo/tool", "`shell` is mounted in press `twin` and in press `solo`"),
    (
        {"presses twin hours": {"mon-fri": "06:00-07:00"}, "presses twin tool": REMOVED},
        "/presses/twin/hours",
        "a changeover to tool `shell` takes 87 min on press `twin`",
    ),
    (
        {"presses twin hours": {"mon-fri": "06:00-06:20"}},
        "/presses/twin/hours",
        "never open longer than 20 min at a time",
    ),
    (
        {"presses solo begins_with": [{"tool": "shell", "colours": ["cream", "slate"]}]},
        "/presses/solo/begins_with/0/tool",
        "which doesn't fit: `solo` is not among the tool's `presses`",
    ),
    (
        {"presses solo begins_with": [{"tool": "bits", "colours": ["gold"]}], "colours gold": {"hex": "#aa9900"}},
        "/presses/solo/begins_with/0/colours",
        "which no order asks for",
    ),
    (
        {"presses solo begins_with": [{"tool": "bits", "colours": ["cream"]}] * 2},
        "/presses/solo/begins_with/1",
        "is begun twice",
    ),
    ({"tools bits cycle_s": 4000000, "tools bits startup_shots": 0}, "/tools/bits/cycle_s", "tool `bits` needs"),
    ({"tools bits scrap_share": 0.999999}, "/tools/bits/scrap_share", "would have to mould"),
    # supply
    ({"pieces leaflet stock": 104}, "/pieces/leaflet", "at least 105 needed, 104 in stock"),
    ({"pieces wick": {"stock": 10}}, "/pieces/wick", "bought-in piece `wick` never arrives in full"),
    ({"resins tpe stock_kg": 1}, "/resins/tpe", "resin `tpe` never arrives in full"),
    ({"colours slate stock_kg": 0.01}, "/colours/slate", "masterbatch of colour `slate` never arrives"),
    (
        {"resins pp dryer": "d1", "resins pp dryer_kg": 30},
        "/resins/tpe/dryer_kg",
        "`pp` and `tpe` share dryer `d1` but say differently how much it holds",
    ),
    # benches and pick-ups
    ({"assembly": {"hours": {}}}, "/assembly/hours", "the assembly bench never opens"),
    ({"packing": {"hours": {"mon": "08:00-12:00 x0"}}}, "/packing/hours", "the packing bench never opens"),
    ({"tiers single pack_minutes": 100000}, "/packing", "packing takes"),
    ({"pick_ups": {"days": []}}, "/pick_ups/days", "no pick-up ever comes"),
    ({"pick_ups": {"parcels": 1}, "orders 0 count": 900, "pieces leaflet stock": 9000}, "/pick_ups/parcels", "cannot"),
    (
        {"packing": {"batch_parcels": 1}, "orders 0 count": 30000, "pieces leaflet stock": 90000,
         "colours slate stock_kg": 90, "resins tpe stock_kg": 900},
        "/packing/batch_parcels",
        "make more than 20000 pack batches",
    ),
    # regions, purging, dates
    ({"regions europe": ["FR", "GB"]}, "/regions/europe/1", "in region `home` already"),
    ({"regions europe": ["FR", "FR"]}, "/regions/europe/1", "twice in it"),
    ({"purging given 0 to": "pp/slate"}, "/purging/given/0/to", "is purged by itself"),
    (
        {"purging given 1": {"from": "pp/slate", "to": "pp/cream", "kg": 2, "press": "twin", "barrel": 1}},
        "/purging/given/1",
        "is given twice",
    ),
    ({"purging given 0": {"from": "pp/slate", "to": "pp/cream", "kg": 2, "press": "solo", "barrel": 2}},
     "/purging/given/0/barrel", "press `solo` has no barrel 2"),
    ({"purging log 0 shots": REMOVED}, "/purging/log/0", "doesn't say how much was purged"),
    ({"purging log 0 press": "twin", "purging log 0 barrel": 2}, "/purging/log/0/barrel", "which uses one barrel"),
    ({"colours slate hex": REMOVED}, "/colours/slate", "nothing says how colour `slate` looks"),
    ({"start": "0001-01-01T00:00"}, "/start", "too far away"),
    ({"closed_days": ["9999-12-31"]}, "/closed_days/0", "too far away"),
    ({"presses twin on_dates": {"3000-01-01": "closed"}}, "/presses/twin/on_dates/3000-01-01", "too far away"),
    ({"resins pp arrivals": [{"on": "0900-01-01", "amount": 1}]}, "/resins/pp/arrivals/0/on", "too far away"),
    (
        {"start": "2011-01-11T06:00", "resins pp arrivals": [{"on": "2027-01-18", "amount": 1}]},
        "/resins/pp/arrivals/0/on",
        "2027-01-18 is more than ten years after the campaign's `start`, 2011-01-11",
    ),
    ({"presses twin on_dates": {"2041-01-05": "06:00-22:00"}}, "/presses/twin/on_dates/2041-01-05", "more than ten"),
    ({"orders 0 opens": "2041-01-05"}, "/orders/0/opens", "more than ten years after"),
    ({"orders 0 opens": "9999-01-05"}, "/orders/0/opens", "too far away"),
    ({"pieces wick lead_days": 99999}, "/pieces/wick/lead_days", "more than ten years"),
    # resins that must never meet
    ({"forbidden_pairs": [{"one": "pp", "other": "pp"}]}, "/forbidden_pairs/0", "forbidden to meet itself"),
    (
        {"resins pom": POM | {"dryer": "d1"}, "resins pvc": PVC | {"dryer": "d1"}, "parts shell barrels 0 resin": "pom",
         "parts cup barrels 0 resin": "pvc", "parts plug barrels 0 resin": "pvc"},
        "/resins/pvc/dryer",
        "share dryer `d1`",
    ),
    (
        {"resins pom": POM, "resins pvc": PVC, "parts shell barrels 0 resin": "pom",
         "parts shell barrels 1 resin": "pvc"},
        "/tools/shell/cavities",
        "POM and PVC decompose violently",
    ),
    (
        {"resins pvc": PVC, "resins pom": POM, "parts shell barrels 0 resin": "pom",
         "presses twin barrels 0 holds": "pvc/cream"},
        "/presses/twin/barrels/0/holds",
        "fits only where the barrel holds `pvc`",
    ),
    (
        {"resins pvc": PVC, "resins pom": POM, "parts shell barrels 0 resin": "pom", "parts cup barrels 0 resin": "pvc",
         "parts plug barrels 0 resin": "pvc", "tools bits presses": ["twin"], "presses twin barrels 0 holds": REMOVED,
         "presses twin barrels 0 clean": True},
        "/tools/shell/presses",
        "`bits` (`pvc`) and `shell` (`pom`) would have to share a barrel on press `twin`, the only one both fit",
    ),
]  # fmt: skip


def test_the_campaign_to_spoil_is_sound():
    """Otherwise every test below would pass for the wrong reason."""
    assert problems({}) == []


@pytest.mark.parametrize(("changes", "pointer", "words"), SPOILT, ids=[f"{p} {w[:30]}" for _, p, w in SPOILT])
def test_each_contradiction_is_found_at_its_field(changes, pointer, words):
    """The pointer is exact, the words name what contradicts what, and a remedy is given."""
    found = problems(changes)
    hits = [p for p in found if p.pointer == pointer and words in p.message]
    assert hits, found
    assert all(p.remedy for p in found)


def test_all_problems_come_at_once():
    """Five mistakes in five sections, five problems."""
    found = problems(
        {
            "tools shell clamp_kn": 1600,
            "orders 0 tier": "singel",
            "pieces leaflet stock": 1,
            "regions europe": ["FR", "GB"],
            "assembly": {"hours": {}},
        }
    )
    assert [p.pointer for p in found] == [
        "/regions/europe/1", "/orders/0/tier", "/tools/shell/presses", "/pieces/leaflet", "/assembly/hours",
    ]  # fmt: skip


def test_one_mistake_is_one_problem():
    """A misspelt colourway in one order doesn't make its colours undemanded or its tool unfit."""
    assert len(problems({"orders 1 units planter": ["cream", "gold"]})) == 1


def test_a_bad_line_does_not_unpin_a_run():
    """Whether a pinned run is demanded cannot be said while order lines are left out."""
    begun = [{"tool": "bits", "colours": ["slate"]}]
    changes = {f"orders {n} tier": "singel" for n in range(3)} | {"presses solo begins_with": begun}
    assert {p.pointer for p in problems(changes)} == {f"/orders/{n}/tier" for n in range(3)}


def test_a_thousand_bad_lines_are_counted_not_all_listed():
    """The first ones tell what is wrong; the rest are counted."""
    line = {"tier": "singel", "units": {"planter": ["cream"]}}
    found = problems({f"orders {3 + n}": line for n in range(1000)})
    assert len(found) == 501
    assert found[-1].message == "500 more order lines have problems, beyond those listed"


def test_resins_may_meet_when_a_second_press_keeps_them_apart():
    """PVC bits can go to their own press, so only the planner has to keep them there."""
    apart = {
        "resins pvc": PVC, "resins pom": POM, "parts shell barrels 0 resin": "pom", "parts cup barrels 0 resin": "pvc",
        "presses twin barrels 0 holds": REMOVED,
         "presses twin barrels 0 clean": True, "parts plug barrels 0 resin": "pvc", "colours slate lead_days": 3,
        "purging log": [], "resins pe": {"family": "PE", "lead_days": 3, "natural_colour": "clear"},
    }  # fmt: skip
    assert problems(apart) == []


def test_a_purge_that_is_given_or_logged_needs_no_look():
    """Without its look, slate is accepted once every change has a figure and no hot runner must be estimated."""
    changes = {
        "colours slate hex": REMOVED,
        "tools shell hot_runner_kg": [],
        "purging given": [
            {"from": f"pp/{a}", "to": f"pp/{b}", "kg": 2}
            for a in ("cream", "slate", "clear")
            for b in ("cream", "slate", "clear")
            if a != b
        ],
    }
    assert problems(changes) == []
    assert problems(changes | {"tools shell hot_runner_kg": [0.1, 0]})[0].pointer == "/colours/slate"
