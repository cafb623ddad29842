"""Odd documents that can be made: each is planned, and its plan passes the audit. Beside them those that cannot."""

from collections.abc import Callable
from copy import deepcopy
from datetime import date, timedelta
from typing import Any

import pytest

from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import assert_passed

Json = dict[str, Any]
Change = Callable[[Json], Any]

COLOURS = ("white", "sage")
PRESS: Json = {"barrels": [{"holdup_kg": 0.2, "shot_max_g": 100, "clean": True}], "clamp_kn": 800, "rate_per_hour": 30}
TOOL: Json = {
    "cycle_s": 30, "scrap_share": 0, "clamp_kn": 300, "mount_minutes": 30, "startup_shots": 5,
    "presses": ["one", "two"],
}  # fmt: skip
BOUGHT: Json = {"stock_kg": 100, "lead_days": 2}
CAMPAIGN: Json = {
    "name": "Pots", "currency": "EUR", "time_zone": "Europe/London", "start": "2027-01-11T06:00",
    "scrap_taken": "known",
    "presses": {
        "one": PRESS | {"hours": {"mon-fri": "06:00-14:00"}},
        "two": PRESS | {"hours": {"mon-fri": "08:00-16:00"}},
    },
    "tools": {"t": TOOL | {"cavities": {"lid": 2}}, "u": TOOL | {"cavities": {"cup": 1}}},
    "resins": {"pp": BOUGHT | {"family": "PP"}},
    "colours": {"white": BOUGHT | {"hex": "#ffffff"}, "sage": BOUGHT | {"hex": "#8fae8b"}},
    "parts": {
        "lid": {"barrels": [{"resin": "pp", "mass_g": 10}]},
        "cup": {"barrels": [{"resin": "pp", "mass_g": 20}]},
    },
    "pieces": {"leaflet": {"price": 0.1, "stock": 1000}},
    "products": {
        "pot": {
            "parts": {"lid": 1, "cup": 1},
            "assembly_minutes": 1,
            "colourways": {colour: {"lid": [colour], "cup": [colour]} for colour in COLOURS},
        }
    },
    "tiers": {"single": {"units": {"pot": 1}, "pieces": {"leaflet": 1}, "pack_minutes": 1, "promised": "2027-01-22"}},
    "orders": [{"tier": "single", "units": {"pot": [colour]}, "count": 25} for colour in COLOURS],
    "assembly": {"hours": {"mon-fri": "08:00-16:00"}},
    "packing": {"hours": {"mon-fri": "08:00-16:00"}},
    "planning": {"rounds": 1, "seed": 1},
}  # fmt: skip
NEVER: Json = {"hours": {}}
ALWAYS = "00:00-24:00"
FAR = [f"2029-02-0{n}" for n in range(1, 8)]
"""Two years after the campaign's start."""


def spare(data: Json, **more: Any) -> None:
    """A tool and a part that nobody ordered."""
    data["parts"]["knob"] = {"barrels": [{"resin": "pp", "mass_g": 10}]}
    data["tools"]["s"] = TOOL | {"cavities": {"knob": 1}} | more


def in_stock(data: Json) -> None:
    """Nothing is to be moulded."""
    for part in data["parts"].values():
        part["stock"] = [{"colours": [colour], "count": 100} for colour in COLOURS]


def no_work(data: Json) -> None:
    """Nothing takes any time on the benches."""
    data["products"]["pot"]["assembly_minutes"] = data["tiers"]["single"]["pack_minutes"] = 0


def carriers(data: Json, *days: list[str]) -> None:
    """Several carriers with these pick-up days, each next one cheaper than the one before."""
    data["carriers"] = {
        f"c{n}": {
            "pick_ups": {"days": days_},
            "rates": [{"steps": [{"up_to_kg": 30, "price": 9 - n}], "door_days": [1, 2]}],
        }
        for n, days_ in enumerate(days)
    }


def copy(**more: Any) -> Change:
    """Another tool for the lids."""
    return lambda data: data["tools"].update(copy=TOOL | {"cavities": {"lid": 2}} | more)


def inspected(**said: Any) -> Change:
    """Lids are inspected, which takes assembly's people no time by itself; its bench is closed."""
    return lambda data: [
        no_work(data),
        data.update(assembly=NEVER),
        data["parts"]["lid"].update(inspection={"defects": {"flash": {"aql": 1}}} | said),
    ]


def acetal_lids(**said: Any) -> Change:
    """Lids of acetal, made by a tool and its copy, of which so much is said."""
    return lambda data: [
        data["resins"].update(odd=BOUGHT | {"family": "POM"}),
        data["parts"]["lid"]["barrels"][0].update(resin="odd"),
        data["tools"]["t"].update(said),
        copy(**said)(data),
    ]


def orders(count: int) -> Change:
    return lambda data: [line.update(count=count) for line in data["orders"]]


def all_of(*changes: Change) -> Change:
    return lambda data: [change(data) for change in changes]


def press_two(**more: Any) -> Change:
    return lambda data: data["presses"]["two"].update(more)


def resin(**said: Any) -> Change:
    """One more resin, which no part is of."""
    return lambda data: data["resins"].update(odd=said)


def piece(**said: Any) -> Change:
    return lambda data: data["pieces"].update(leaflet={"price": 0.1} | said)


def big_tier(**box: Any) -> Change:
    """A tier that nobody ordered, in cartons, of a product without a size."""

    def change(data: Json) -> None:
        data["tiers"]["big"] = {"units": {"pot": 5}, "cartons": ["box"]}
        data["pieces"]["box"] = box

    return change


MADE: dict[str, Change] = {
    "as it is": lambda data: None,
    "a press without hours": press_two(**NEVER),
    "a press closed every day": press_two(hours={"mon-sun": "closed"}),
    "a press open on past days": press_two(hours={}, on_dates={"2026-12-01": "06:00-14:00"}),
    "a press that others always have": press_two(
        others=[{"hours": {"mon-sun": ALWAYS}, "leaves": ["pp/white"], "moulds": ["pp"]}]
    ),
    "a press nobody comes to": all_of(
        press_two(hours={"mon-fri": "20:00-23:00"}),
        lambda data: data.update(floor={"attended": {"hours": {"mon-fri": "06:00-18:00"}}}),
    ),
    "a tool in a press without hours": press_two(hours={}, tool="t"),
    "lights out on a press without hours": all_of(
        press_two(hours={}, lights_out={"hours": 4}),
        lambda data: data.update(floor={"attended": {"hours": {"mon-fri": "06:00-18:00"}}}),
    ),
    "all in stock, no press opens": all_of(in_stock, lambda data: [p.update(NEVER) for p in data["presses"].values()]),
    "all in stock, nobody there": all_of(in_stock, lambda data: data.update(floor={"attended": NEVER})),
    "no assembly, its bench closed": lambda data: [
        data["products"]["pot"].update(assembly_minutes=0),
        data.update(assembly=NEVER),
    ],
    "all assembled, its bench closed": all_of(
        in_stock,
        lambda data: [
            data["products"]["pot"].update(assembled={"white": 25, "sage": 25}),
            data.update(assembly=NEVER),
        ],
    ),
    "no packing, its bench closed": lambda data: [
        data["tiers"]["single"].update(pack_minutes=0),
        data.update(packing=NEVER),
    ],
    "no packing, nobody at its bench": lambda data: [
        data["tiers"]["single"].update(pack_minutes=0),
        data.update(packing={"hours": {"mon": "08:00-12:00 x0"}}),
    ],
    "no work, benches closed": all_of(no_work, lambda data: data.update(assembly=NEVER, packing=NEVER)),
    "no work, all in stock, benches closed": all_of(
        no_work, in_stock, lambda data: data.update(assembly=NEVER, packing=NEVER)
    ),
    "a bench that nothing goes to": lambda data: data.update(finishing_benches={"paint": NEVER}),
    "a step that takes no time, its bench closed": lambda data: [
        data.update(finishing_benches={"table": NEVER}),
        data["parts"]["lid"].update(finishing=[{"what": "laying out", "at": "table"}]),
    ],
    "a step that all parts have behind them, its bench closed": all_of(
        in_stock,
        lambda data: [
            data.update(finishing_benches={"table": NEVER}),
            data["parts"]["lid"].update(finishing=[{"what": "printing", "at": "table", "minutes": 1}]),
        ],
    ),
    "a tool too strong for every press": lambda data: spare(data, clamp_kn=5000),
    "a tool with too large a shot": lambda data: spare(data, cavities={"knob": 50}),
    "a tool ready in years": lambda data: spare(data, ready="2035-01-01"),
    "a tool for a press without hours": all_of(lambda data: spare(data, presses=["two"]), press_two(**NEVER)),
    "a tool that fits no press, its parts in stock": all_of(
        lambda data: data["tools"]["t"].update(clamp_kn=9000),
        lambda data: data["parts"]["lid"].update(stock=[{"colours": [c], "count": 100} for c in COLOURS]),
    ),
    "all cavities of a tool blocked": lambda data: spare(data, blocked_cavities={"knob": 1}),
    "all cavities of one part of a family blocked": all_of(
        spare,
        lambda data: data["tools"].pop("s"),
        lambda data: data["tools"]["t"].update(cavities={"lid": 2, "knob": 1}, blocked_cavities={"knob": 1}),
    ),
    "a family's part that nobody ordered": all_of(
        spare,
        lambda data: data["tools"].pop("s"),
        lambda data: data["tools"]["t"].update(cavities={"lid": 2, "knob": 1}),
    ),
    "a part without a tool in a product nobody ordered": all_of(
        spare,
        lambda data: data["tools"].pop("s"),
        lambda data: data["products"].update(jar={"parts": {"knob": 1}, "colourways": {"white": {"knob": ["white"]}}}),
    ),
    "a resin that melts backwards": resin(family="ABS", melt_c=[300, 200]),
    "a resin that stands less than it melts at": resin(family="ABS", melt_c=[200, 300], survives_c=150),
    "acetal on the shelf": resin(family="POM"),
    "PVC on the shelf": resin(family="PVC"),
    "nobody knows what on the shelf": resin(family="zork"),
    "an acetal part nobody ordered": all_of(
        spare, resin(family="POM"), lambda data: data["parts"]["knob"]["barrels"][0].update(resin="odd")
    ),
    "a dryer that holds otherwise of a resin nobody uses": all_of(
        lambda data: data["resins"]["pp"].update(dryer="d", dryer_kg=50, drying_hours=1),
        resin(family="PP", dryer="d", dryer_kg=20, drying_hours=2),
    ),
    "price breaks of what cannot be bought": resin(family="PP", price_breaks=[{"kg": 100, "price_per_kg": 1}]),
    "price breaks of what is all there": lambda data: data["resins"]["pp"].update(
        price_breaks=[{"kg": 100, "price_per_kg": 1}], lead_days=None
    ),
    "lots of a piece that is all there": piece(stock=1000, comes_in=[{"after_days": 1, "share": 1}]),
    "more pieces ordered elsewhere than are asked for": piece(
        stock=0, lead_days=5, also_from=[{"supplier": "q", "pieces": 500, "lead_days": 1, "price": 0.2}]
    ),
    "pieces ordered elsewhere that come later": piece(
        stock=0, lead_days=5, also_from=[{"supplier": "q", "pieces": 20, "lead_days": 9, "price": 0.2}]
    ),
    "a tier nobody ordered, of a product without a size": big_tier(
        carton={"inside_mm": [100, 100, 100], "tare_g": 50}, stock=5
    ),
    "a tier nobody ordered, in what is no carton": big_tier(stock=5),
    "a tier of add-ons alone": lambda data: [
        data["tiers"].update(none={"units": {}, "pieces": {"leaflet": 1}}),
        data["orders"].append({"tier": "none", "count": 5}),
    ],
    "a carrier without days": lambda data: carriers(data, ["fri"], []),
    "a carrier without days, listed first": lambda data: carriers(data, [], ["fri"]),
    "a pick-up in two years": lambda data: data.update(pick_ups={"days": [], "on_dates": ["2029-03-01"]}),
    "presses that open in two years": lambda data: [
        press.update(hours={}, on_dates=dict.fromkeys(FAR, "06:00-18:00")) for press in data["presses"].values()
    ],
    "a bench that opens in two years": lambda data: data.update(
        assembly={"hours": {}, "on_dates": dict.fromkeys(FAR, "06:00-18:00")}
    ),
    "resin in two years": lambda data: data["resins"]["pp"].update(stock_kg=0, lead_days=800),
    "closed for weeks": lambda data: data.update(closed_days=[f"2027-01-{n}" for n in range(11, 32)]),
    "a colour of nothing but masterbatch": lambda data: data["colours"].update(odd={"let_down_percent": 99}),
    "a wish about a tool with nothing to mould": all_of(
        spare, lambda data: data.update(wishes=[{"runs": {"tool": "s"}, "press": "one"}])
    ),
    "colours missing of what nobody ordered": all_of(
        spare, lambda data: data["products"].update(jar={"parts": {"knob": 1}, "colourways": {"white": {}}})
    ),
    "colours missing of a colourway nobody ordered": lambda data: data["products"]["pot"]["colourways"].update(
        black={"lid": ["white"]}
    ),
    "inspected elsewhere, assembly closed": inspected(at="elsewhere"),
    "inspected in no time, assembly closed": inspected(minutes=0, lot_minutes=0, off_minutes=0),
    "all inspected and in stock, assembly closed": all_of(in_stock, inspected()),
    "a copy that fits no press": copy(clamp_kn=9000),
    "a copy listed first that fits no press": all_of(copy(), lambda data: data["tools"]["t"].update(clamp_kn=9000)),
    "two tools that fit no press, a copy of each": all_of(
        copy(),
        lambda data: [data["tools"][name].update(clamp_kn=9000) for name in ("t", "u")],
        lambda data: data["tools"].update(v=TOOL | {"cavities": {"cup": 1}}),
    ),
    "a copy with all cavities blocked": copy(blocked_cavities={"lid": 2}),
    "a family's blocked part that another tool makes": all_of(
        copy(cavities={"lid": 2, "cup": 1}, blocked_cavities={"cup": 1}),
        lambda data: data["tools"].pop("t"),
    ),
    "a copy for a press without hours": all_of(copy(presses=["two"]), press_two(**NEVER)),
    "a copy that asks for more people than there are": copy(operators=2),
    "a copy that is in the press already": all_of(
        copy(),
        lambda data: data["presses"]["one"].update(begins_with=[{"tool": "copy", "colours": ["white"], "shots": 5}]),
    ),
    "people asked for by a tool nobody needs": lambda data: spare(data, operators=2),
    "people asked for, its parts in stock": all_of(in_stock, lambda data: data["tools"]["t"].update(operators=2)),
    "a part in stock that no tool makes any more": all_of(in_stock, lambda data: data["tools"].pop("u")),
    "people who come in two years": lambda data: data.update(
        floor={"attended": {"hours": {}, "on_dates": dict.fromkeys(FAR, "06:00-18:00")}}
    ),
    "closed for two years": lambda data: data.update(
        closed_days=[(date(2027, 1, 11) + timedelta(days=n)).isoformat() for n in range(730)]
    ),
    "a parcel a week": all_of(orders(60), lambda data: data.update(pick_ups={"days": ["fri"], "parcels": 1})),
    "an hour of assembly a week": lambda data: [
        data["products"]["pot"].update(assembly_minutes=120),
        data.update(assembly={"hours": {"mon": "08:00-09:00"}}),
    ],
    "an hour of packing a week": lambda data: [
        data["tiers"]["single"].update(pack_minutes=120),
        data.update(packing={"hours": {"mon": "08:00-09:00"}}),
    ],
    "an hour of a press a week": all_of(
        orders(40),
        press_two(hours={"mon": "08:00-09:00"}, restart_minutes=5),
        lambda data: data["tools"]["u"].update(presses=["two"], cycle_s=4000 / 2, startup_shots=0, mount_minutes=10),
    ),
    "nothing takes any time": all_of(
        no_work, lambda data: [tool.update(mount_minutes=0, startup_shots=0) for tool in data["tools"].values()]
    ),
}

REFUSED: dict[str, tuple[Change, str]] = {
    "the only press a tool takes has no hours": (
        all_of(lambda data: data["tools"]["t"].update(presses=["two"]), press_two(**NEVER)),
        "/presses/two/hours",
    ),
    "a run pinned on a press without hours": (
        press_two(hours={}, begins_with=[{"tool": "t", "colours": ["white"]}]),
        "/presses/two/hours",
    ),
    "nobody comes while any press is open": (
        lambda data: data.update(floor={"attended": {"hours": {"sat": "06:00-18:00"}}}),
        "/floor/attended",
    ),
    "assembly takes time, its bench is closed": (lambda data: data.update(assembly=NEVER), "/assembly/hours"),
    "packing takes time, its bench is closed": (lambda data: data.update(packing=NEVER), "/packing/hours"),
    "a step takes time, its bench is closed": (
        lambda data: [
            data.update(finishing_benches={"table": NEVER}),
            data["parts"]["lid"].update(finishing=[{"what": "printing", "at": "table", "minutes": 1}]),
        ],
        "/finishing_benches/table/hours",
    ),
    "a tool with something to mould fits no press": (
        lambda data: data["tools"]["t"].update(clamp_kn=9000),
        "/tools/t/presses",
    ),
    "all cavities of an ordered part blocked": (
        lambda data: data["tools"]["t"].update(blocked_cavities={"lid": 2}),
        "/tools/t/blocked_cavities/lid",
    ),
    "more cavities blocked than there are": (
        lambda data: spare(data, blocked_cavities={"knob": 2}),
        "/tools/s/blocked_cavities/knob",
    ),
    "an ordered part without a tool": (lambda data: data["tools"].pop("u"), "/parts/cup"),
    "a resin on the shelf that melts backwards and may go in between": (
        resin(family="PE-LD", melt_c=[300, 200], stock_kg=5),
        "/resins/odd/melt_c",
    ),
    "inspected by assembly's people, its bench closed": (inspected(), "/assembly/hours"),
    "no copy of a tool fits a press": (
        all_of(copy(clamp_kn=9000), lambda data: data["tools"]["t"].update(clamp_kn=9000)),
        "/tools/copy/presses",
    ),
    "people asked for by a tool that is needed": (
        lambda data: data["tools"]["t"].update(operators=2),
        "/floor/operators",
    ),
    "acetal in copies whose hot runners nobody knows": (
        acetal_lids(hot_runner_kg=[0.1]),
        "/tools/copy/hot_runner_has_held",
    ),
    "acetal in copies whose hot runners have held PVC": (
        all_of(
            lambda data: data["resins"].update(vinyl=BOUGHT | {"family": "PVC"}),
            acetal_lids(hot_runner_kg=[0.1], hot_runner_has_held=["vinyl"]),
        ),
        "/tools/copy/hot_runner_has_held",
    ),
    "acetal in copies, barrels that nobody knows": (
        all_of(acetal_lids(), press_two(barrels=[{"holdup_kg": 0.2, "shot_max_g": 100}])),
        "/presses/two/barrels/0/holds",
    ),
    "acetal beside PVC in one part of copies": (
        lambda data: [
            data["resins"].update(odd=BOUGHT | {"family": "POM"}, vinyl=BOUGHT | {"family": "PVC"}),
            data["parts"]["lid"].update(barrels=[{"resin": name, "mass_g": 5} for name in ("odd", "vinyl")]),
            copy()(data),
            [press.update(barrels=press["barrels"] * 2) for press in data["presses"].values()],
            [way.update(lid=["white", "sage"]) for way in data["products"]["pot"]["colourways"].values()],
        ],
        "/tools/copy/cavities",
    ),
    "acetal in copies, nothing to clear it with": (acetal_lids(), "/resins/odd"),
    "colours missing of what is ordered": (
        lambda data: data["products"]["pot"]["colourways"]["sage"].pop("cup"),
        "/products/pot/colourways/sage",
    ),
    "colours missing of what is spare": (
        lambda data: [
            data["products"]["pot"]["colourways"].update(black={"lid": ["white"]}),
            data["products"]["pot"].update(spare_units={"black": 3}),
        ],
        "/products/pot/colourways/black",
    ),
    "a parcel a week for twenty years": (
        all_of(orders(600), lambda data: data.update(pick_ups={"days": ["fri"], "parcels": 1})),
        "/pick_ups/parcels",
    ),
    "no carrier ever comes": (lambda data: carriers(data, [], []), "/carriers"),
    "not enough in stock, and no lead time": (
        piece(stock=10, comes_in=[{"after_days": 1, "share": 1}]),
        "/pieces/leaflet",
    ),
}


def changed(change: Change) -> Json:
    data = deepcopy(CAMPAIGN)
    change(data)
    return data


@pytest.mark.parametrize("name", MADE)
def test_what_can_be_made_is_planned(name: str) -> None:
    campaign = read(changed(MADE[name]))
    plan = make_plan(campaign, Unhurried())
    assert_passed(plan)
    assert sum(sent.parcels for sent in plan.dispatches) == sum(line.count for line in campaign.orders)


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_made_is_refused_at_its_field(name: str) -> None:
    change, at = REFUSED[name]
    with pytest.raises(CampaignProblems) as refused:
        read(changed(change))
    assert at in [problem.pointer for problem in refused.value.problems]


def test_a_carrier_that_never_comes_takes_nothing() -> None:
    """The cheaper of the two has no days: all goes with the other."""
    plan = make_plan(read(changed(lambda data: carriers(data, ["fri"], []))), Unhurried())
    assert {batch.carrier for batch in plan.batches} == {"c0"}
