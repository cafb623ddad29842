"""A plan for the pot workshop worked by hand, every number's sum beside it. One lot a run, five pack batches."""

from typing import Any

from planner.plan.document import RunPlan


def _jan(day: int, clock: str) -> str:
    return f"2027-01-{day}T{clock}+00:00"


RUNS: list[dict[str, Any]] = [
    {
        # barrel holds white already, so no purge: warm-up 1200 + mount 3600 + 10 x 30 = 5100 s from 06:00
        "id": "r1",
        "press": "one",
        "tool": "small",
        "melts": ["pp/white"],
        "shots": 540,  # clips: 540 x 2 give 1050 good at .9682 (539: .9296); lids alone: 516
        "shot_seconds": 30,
        "changeover": {
            "start": _jan(11, "06:00:00"),
            "end": _jan(11, "07:25:00"),
            "setter": 1,
            "warm_up_seconds": 1200,
            "mount_seconds": 3600,
            "from_tool": None,
            "purges": [],
            "startup_shots": 10,
            "startup_seconds": 300,
        },
        "start": _jan(11, "07:25:00"),
        "end": _jan(11, "11:55:00"),  # 540 x 30 = 16200 s
        "stretches": [
            {
                "start": _jan(11, "07:25:00"),
                "end": _jan(11, "11:55:00"),
                "restart_seconds": 0,
                "restart_shots": 0,
                "shots": 540,
            }
        ],
        "parts": [
            {"part": "lid", "colours": ["white"], "good": 523},  # floor(540 x 500 / 516)
            {"part": "clip", "colours": ["white"], "good": 1050},
        ],
        "waits_for": "",
        # (5100 + 16200) s x 36/h + 5100 s x 30/h + 0.16 kg x (.97 x 1.6 + .03 x 6) + 0.16 kg x 0.2
        "cost": 255.81,
    },
    {
        # white to sage: 1.25 kg given; 1250 / 16 -> 79 shots x 20 = 1580 s; + 300 = 1880 s
        "id": "r2",
        "press": "one",
        "tool": "small",
        "melts": ["pp/sage"],
        "shots": 755,  # clips: 755 x 2 give 1470 good at .9663 (754: .9332); lids alone: 715
        "shot_seconds": 30,
        "changeover": {
            "start": _jan(11, "11:55:00"),
            "end": _jan(11, "12:26:20"),
            "setter": 1,
            "warm_up_seconds": 0,
            "mount_seconds": 0,
            "from_tool": "small",
            "purges": [
                {
                    "where": "barrel",
                    "barrel": 1,
                    "from": "pp/white",
                    "to": "pp/sage",
                    "kg": 1.25,
                    "kg_p10": 0.907,  # e^(1.2816 x 0.25) either way
                    "kg_p90": 1.722,
                    "shots": 0,
                    "seconds": 1580,  # 1.25 kg at 36.38 x 0.1 x 0.74 / 0.945 = 2.849 kg/h
                    "cost": 2.435,  # 1.25 x (.98 x 1.6 + .02 x 9 + .2)
                    "basis": "given",
                }
            ],
            "startup_shots": 10,
            "startup_seconds": 300,
        },
        "start": _jan(11, "12:26:20"),
        "end": _jan(12, "11:08:50"),
        "stretches": [
            {  # 5620 s to closing: 187 shots and 10 s of the next
                "start": _jan(11, "12:26:20"),
                "end": _jan(11, "14:00:00"),
                "restart_seconds": 0,
                "restart_shots": 0,
                "shots": 187,
            },
            {  # 1200 + 300 s of restart, then 755 x 30 - 5620 = 17030 s
                "start": _jan(12, "06:00:00"),
                "end": _jan(12, "11:08:50"),
                "restart_seconds": 1500,
                "restart_shots": 10,
                "shots": 568,
            },
        ],
        "parts": [
            {"part": "lid", "colours": ["sage"], "good": 732},  # floor(755 x 694 / 715)
            {"part": "clip", "colours": ["sage"], "good": 1470},
        ],
        "waits_for": "",
        # (1880 + 5620 + 18530) s x 36/h + 1880 s x 30/h + 1.57 kg x 1.748 + 1.57 kg x 0.2
        "cost": 279.03,
    },
    {
        # clean barrels and hot runner: warm-up 900 + mount 5400 + 8 x 50 = 6700 s from 08:00
        "id": "r3",
        "press": "two",
        "tool": "shell",
        "melts": ["pp/sage", "tpe/clear"],
        "shots": 700,
        "shot_seconds": 50,
        "changeover": {
            "start": _jan(11, "08:00:00"),
            "end": _jan(11, "09:51:40"),
            "setter": 1,
            "warm_up_seconds": 900,
            "mount_seconds": 5400,
            "from_tool": None,
            "purges": [],
            "startup_shots": 8,
            "startup_seconds": 400,
        },
        "start": _jan(11, "09:51:40"),
        "end": _jan(12, "11:56:40"),
        "stretches": [
            {  # 22100 s
                "start": _jan(11, "09:51:40"),
                "end": _jan(11, "16:00:00"),
                "restart_seconds": 0,
                "restart_shots": 0,
                "shots": 442,
            },
            {  # 900 + 400 s, then 35000 - 22100 = 12900 s
                "start": _jan(12, "08:00:00"),
                "end": _jan(12, "11:56:40"),
                "restart_seconds": 1300,
                "restart_shots": 8,
                "shots": 258,
            },
        ],
        "parts": [{"part": "shell", "colours": ["sage", "clear"], "good": 700}],
        "waits_for": "press hours",
        # 43000 s x 72/h + 6700 s x 30/h + .56 kg x 1.748 + .128 kg x 3 + .688 kg x .2
        "cost": 917.33,
    },
    {
        # PP runs out, the bag bought comes on Wednesday; sage to white 4 hold-ups: 2.4 kg -> 69 shots, 3450 s, and
        # 0.2 kg in the hot runner -> 6 shots, 300 s; warm-up 900, start-up 400: 5050 s
        "id": "r4",
        "press": "two",
        "tool": "shell",
        "melts": ["pp/white", "tpe/clear"],
        "shots": 500,
        "shot_seconds": 50,
        "changeover": {
            "start": _jan(13, "08:00:00"),
            "end": _jan(13, "09:24:10"),
            "setter": 1,
            "warm_up_seconds": 900,
            "mount_seconds": 0,
            "from_tool": "shell",
            "purges": [
                {
                    "where": "barrel",
                    "barrel": 1,
                    "from": "pp/sage",
                    "to": "pp/white",
                    "kg": 2.4,
                    "kg_p10": 0.973,  # nothing is logged: e^(1.2816 x 0.7045) either way
                    "kg_p90": 5.92,
                    "shots": 0,
                    "seconds": 3450,  # 2.4 kg at 31.985 x 0.1 x 0.74 / 0.945 = 2.505 kg/h
                    "cost": 4.6368,  # 2.4 x (.97 x 1.6 + .03 x 6 + .2)
                    "basis": "estimated",
                },
                {
                    "where": "hot runner",
                    "barrel": 1,
                    "from": "pp/sage",
                    "to": "pp/white",
                    "kg": 0.2,
                    "kg_p10": 0.081,
                    "kg_p90": 1.4,  # a hot runner nobody measured: 7 times
                    "shots": 6,
                    "seconds": 300,
                    "cost": 0.3864,
                    "basis": "estimated",
                },
            ],
            "startup_shots": 8,
            "startup_seconds": 400,
        },
        "start": _jan(13, "09:24:10"),
        "end": _jan(14, "08:42:30"),
        "stretches": [
            {  # 23750 s
                "start": _jan(13, "09:24:10"),
                "end": _jan(13, "16:00:00"),
                "restart_seconds": 0,
                "restart_shots": 0,
                "shots": 475,
            },
            {  # 1300 s of restart, 25 shots x 50 s
                "start": _jan(14, "08:00:00"),
                "end": _jan(14, "08:42:30"),
                "restart_seconds": 1300,
                "restart_shots": 8,
                "shots": 25,
            },
        ],
        "parts": [{"part": "shell", "colours": ["white", "clear"], "good": 500}],
        "waits_for": "press hours",
        # 31350 s x 72/h + 5050 s x 30/h + 3.16 kg x 1.732 + .128 kg x 3 + 3.288 kg x .2
        "cost": 675.60,
    },
]

BALANCE: list[dict[str, Any]] = [
    {
        "part": part,
        "colours": colours,
        "ordered": ordered,
        "spares": spares,
        "stock": stock,
        "to_mould": to_mould,
        "shots": shots,
        "cavities": cavities,
        "scrap_share": scrap,
        "counted_on": counted,
        "expected": expected,
        "surplus": surplus,
        "confidence": confidence,
        "counting_shots": alone,
    }
    for (
        part, colours, ordered, spares, stock, to_mould, shots, cavities, scrap, counted, expected, surplus, confidence,
        alone,
    ) in (
        ("clip", ["sage"], 1400, 70, 0, 1470, 755, 2, 0.02, 1470, 1479.8, 9.8, 0.96627, 755),
        ("clip", ["white"], 1000, 50, 0, 1050, 540, 2, 0.02, 1050, 1058.4, 8.4, 0.96823, 540),
        ("lid", ["sage"], 700, 0, 6, 694, 755, 1, 0.02, 732, 739.9, 45.9, 1.0, 715),
        ("lid", ["white"], 500, 0, 0, 500, 540, 1, 0.02, 523, 529.2, 29.2, 1.0, 516),
        ("shell", ["sage", "clear"], 700, 0, 0, 700, 700, 1, 0, 700, 700, 0, 1.0, 700),
        ("shell", ["white", "clear"], 500, 0, 0, 500, 500, 1, 0, 500, 500, 0, 1.0, 500),
    )
]  # fmt: skip

MATERIALS: list[dict[str, Any]] = [
    {
        "kind": "resin",
        "id": "pp",
        # white 26.14 kg of melt x .97 + sage 36.58 x .98
        "moulded_kg": 61.2042,
        # white .16 + .56, sage .32 + .56
        "startup_kg": 1.5608,
        # 1.25 x .98 + 2.6 x .97
        "purge_kg": 3.747,
        # runners are more than a tenth of the melt, so a tenth of each: 2.614 + 3.658
        "regrind_kg": 6.272,
        "used_kg": 60.24,
        "stock_kg": 50,
        "arriving_kg": 0,
        # r4 begins when 66.24 kg must be there: 16.24 short, one bag
        "bought_kg": 25,
        "left_over_kg": 14.76,
        "price_per_kg": 1.6,
        "first_use": _jan(11, "06:00:00"),
        "order_by": "2027-01-11",
        "if_late": "Run r4 (Wed 13 Jan 2027 08:00) must wait until it is there.",
    },
    {
        "kind": "resin",
        "id": "tpe",
        "moulded_kg": 9.6,  # 1200 x 8 g
        "startup_kg": 0.256,  # 2 changeovers, 2 restarts x 8 x 8 g
        "purge_kg": 0,
        "regrind_kg": 0,
        "used_kg": 9.856,
        "stock_kg": 12,
        "arriving_kg": 0,
        "bought_kg": 0,
        "left_over_kg": 2.144,
        "price_per_kg": 3,
        "first_use": _jan(11, "08:00:00"),
        "order_by": None,
        "if_late": "Nothing waits for an order: stock and agreed deliveries cover it.",
    },
    {
        "kind": "masterbatch",
        "id": "sage",
        "moulded_kg": 0.7316,  # .02 x 36.58
        "startup_kg": 0.0176,
        "purge_kg": 0.025,
        "regrind_kg": 0,
        "used_kg": 0.7742,
        "stock_kg": 2,
        "arriving_kg": 0,
        "bought_kg": 0,
        "left_over_kg": 1.2258,
        "price_per_kg": 9,
        "first_use": _jan(11, "08:00:00"),
        "order_by": None,
        "if_late": "Nothing waits for an order: stock and agreed deliveries cover it.",
    },
    {
        "kind": "masterbatch",
        "id": "white",
        "moulded_kg": 0.7842,  # .03 x 26.14
        "startup_kg": 0.0216,
        "purge_kg": 0.078,
        "regrind_kg": 0,
        "used_kg": 0.8838,
        "stock_kg": 0.5,
        "arriving_kg": 1,
        "bought_kg": 0,
        "left_over_kg": 0.6162,
        "price_per_kg": 6,
        "first_use": _jan(11, "06:00:00"),
        "order_by": None,
        "if_late": "Nothing waits for an order: stock and agreed deliveries cover it.",
    },
]

PIECES: list[dict[str, Any]] = [
    {
        "id": "carton",
        "used": 1000,
        "stock": 500,
        "arriving": 600,
        "bought": 0,
        "left_over": 100,
        "price": 0.8,
        "first_use": _jan(12, "11:07:30"),
        "order_by": None,
        "if_late": "Nothing waits for an order: stock and agreed deliveries cover it.",
    },
    {
        "id": "leaflet",
        "used": 1200,
        "stock": 600,
        "arriving": 0,
        "bought": 600,
        "left_over": 0,
        "price": 0.1,
        "first_use": _jan(12, "08:00:00"),
        "order_by": "2027-01-11",
        "if_late": "Job j5a (Thu 14 Jan 2027 08:00) and 2 more jobs after it must wait until they are there.",
    },
]

ASSEMBLY: list[dict[str, Any]] = [
    {
        "id": name,
        "batch": batch,
        "product": "pot",
        "colourway": colourway,
        "units": units,
        "start": start,
        "end": end,
        "person_minutes": 1.5 * units,
    }
    for name, batch, colourway, units, start, end in (
        # 250 x 90 s / 2 people = 11250 s; shells 1-250 are rested Tuesday 01:20, the 252nd lid shot is 06:57:20
        ("j1", "b1", "sage", 250, _jan(12, "08:00:00"), _jan(12, "11:07:30")),
        # the 500th shell comes off Tuesday 09:10 and has rested 21:10
        ("j2", "b2", "sage", 250, _jan(13, "08:00:00"), _jan(13, "11:07:30")),
        # leaflets 501 to 700: 600 in stock, the rest arrives Thursday 06:00; 9000 s
        ("j5a", "b5", "sage", 200, _jan(14, "08:00:00"), _jan(14, "10:30:00")),
        # white shells 1-150: Wednesday 11:29:10 + 12 h; 6750 s
        ("j3", "b3", "white", 150, _jan(14, "10:30:00"), _jan(14, "12:22:30")),
        # white shells 151-300: Wednesday 13:34:10 + 12 h
        ("j4", "b4", "white", 150, _jan(14, "12:22:30"), _jan(14, "14:15:00")),
        # white shell 500: Thursday 08:42:30 + 12 h
        ("j5b", "b5", "white", 200, _jan(15, "08:00:00"), _jan(15, "10:30:00")),
    )
]

BATCHES: list[dict[str, Any]] = [
    {
        "id": name,
        "tier": tier,
        "region": region,
        "contents": {"pot": contents},
        "pieces": {"carton": 1},
        "parcels": sum(count for _, count in lines),
        "lines": [{"line": line, "count": count} for line, count in lines],
        "start": start,
        "end": end,
        "served": int(name[1:]),
        "person_minutes": minutes,
        "dispatch": dispatch,
        "hand_over_by": {"one": "2027-01-15", "pair": "2027-01-22"}[tier],
    }
    for name, tier, region, contents, lines, start, end, minutes, dispatch in (
        # 45000 person-seconds: 2 x 3150 + 10800 on Tuesday, 2 x 13950 on Wednesday morning
        ("b1", "one", "world", {"sage": 1}, [(0, 250)], _jan(12, "11:07:30"), _jan(13, "11:52:30"), 750, "d1"),
        # 2 x 450 + 10800 + 2 x 14400 + 4500
        (
            "b2", "one", "world", {"sage": 1}, [(0, 150), (3, 100)], _jan(13, "11:52:30"), _jan(14, "14:15:00"), 750,
            "d1",
        ),
        # 27000: 6300 + 2 x 10350; Friday's pick-up has no room for 150 more
        ("b3", "one", "eu", {"white": 1}, [(1, 150)], _jan(14, "14:15:00"), _jan(15, "10:52:30"), 450, "d2"),
        # 27000: 2 x 4050 + 10800 + 2 x 4050
        ("b4", "one", "eu", {"white": 1}, [(1, 150)], _jan(15, "10:52:30"), _jan(18, "09:07:30"), 450, "d2"),
        # 48000: 2 x 10350 + 10800 + 2 x 8250
        (
            "b5", "pair", "world", {"sage": 1, "white": 1}, [(2, 200)], _jan(18, "09:07:30"), _jan(19, "10:17:30"), 800,
            "d2",
        ),
    )
]  # fmt: skip

DISPATCHES: list[dict[str, Any]] = [
    {"id": "d1", "at": _jan(15, "16:00:00"), "parcels": 500, "batches": ["b1", "b2"]},
    {"id": "d2", "at": _jan(22, "16:00:00"), "parcels": 500, "batches": ["b3", "b4", "b5"]},
]

TIERS: list[dict[str, Any]] = [
    {
        "tier": "one",
        "parcels": 800,
        "promised": "2027-01-15",
        "first_dispatch": _jan(15, "16:00:00"),
        "last_dispatch": _jan(22, "16:00:00"),
        "late_parcels": 300,
        "days_late": 7,
    },
    {
        "tier": "pair",
        "parcels": 200,
        "promised": "2027-01-22",
        "first_dispatch": _jan(22, "16:00:00"),
        "last_dispatch": _jan(22, "16:00:00"),
        "late_parcels": 0,
        "days_late": 0,
    },
]

COSTS: list[dict[str, Any]] = [
    # one: 21300 + 26030 s at 36/h; two: 43000 + 31350 s at 72/h
    {"what": "press hours", "amount": 1960.30},
    # 5100 + 1880 + 6700 + 5050 s at 30/h
    {"what": "setter hours", "amount": 156.08},
    # 61.2042 x 1.6 + 9.6 x 3 + .7842 x 6 + .7316 x 9 - 6.272 x 1.6
    {"what": "moulded material", "amount": 127.98},
    # 3.747 x 1.6 + .078 x 6 + .025 x 9
    {"what": "purge material", "amount": 6.69},
    # 1.5608 x 1.6 + .256 x 3 + .0216 x 6 + .0176 x 9
    {"what": "start-up material", "amount": 3.55},
    # .2 x (3.85 purge + 1.6 + .256 start-up)
    {"what": "disposal", "amount": 1.14},
    # (25 - 10.24) kg x 1.6
    {"what": "unused minimum orders", "amount": 23.62},
    # 1000 x .8 + 1200 x .1
    {"what": "bought-in pieces", "amount": 920.00},
    # 1200 x 1.5 / 60 x 18
    {"what": "assembly labour", "amount": 540.00},
    # (800 x 3 + 200 x 4) / 60 x 15
    {"what": "packing labour", "amount": 800.00},
    # 300 parcels x 7 days x .25
    {"what": "lateness", "amount": 525.00},
]

# TPE dries three hours; each load is dry when the stretch begins that draws it: shots, start-up shots and purge.
DRYING = [
    {
        "dryer": "tpe", "resin": "tpe", "kg": kg, "degrees_c": None, "load_at": f"2027-01-{day}T05:00:00Z",
        "dry_at": f"2027-01-{day}T08:00:00Z", "used_from": f"2027-01-{day}T08:00:00Z",
        "used_until": f"2027-01-{day}T{until}Z", "runs": [run],
    }
    for day, until, kg, run in (
        (11, "16:00:00", 3.6, "r3"), (12, "11:56:40", 2.128, "r3"), (13, "16:00:00", 3.864, "r4"),
        (14, "08:42:30", 0.264, "r4"),
    )
]  # fmt: skip

LAST = " Local codes, the supplier's data sheet and licensed practice come first."
CAUTIONS = [
    {"about": about, "text": text + LAST, "source": source}
    for about, text, source in (
        ("dried tpe", "Dried `tpe` waits up to 8.0 h: keep it in a closed drum, or dry it again.", "common practice"),
        (
            "tool change",
            "Lock out and tag the press before anyone reaches between the platens to change a tool; secure the tool "
            "to the hoist before the clamps come off.",
            "29 CFR 1910.147; local code",
        ),
        (
            "purging",
            "Purging throws hot melt under pressure: face shield, gloves, purge guard closed, unit retracted.",
            "OSHA and HSE guidance",
        ),
    )
]

PLAN: dict[str, Any] = {
    "name": "Pots",
    "currency": "EUR",
    "time_zone": "Europe/London",
    "start": _jan(11, "06:00:00"),
    "outcome": {
        "status": "feasible",
        "ended": "budget used",
        "aim": "cost",
        "total": 5064.36,
        "lower_bound": 4800.0,
        "gap": 0.0522,  # 264.36 / 5064.36
        "avoidable": 2676.38,  # less moulded material, pieces, labour: 2387.98
        "bound_basis": "worked by hand",
        "seed": 1,
        "rounds": 0,
        "model_hash": "0",
        "versions": {},
    },
    "tiers": TIERS,
    "runs": RUNS,
    "balance": BALANCE,
    "materials": MATERIALS,
    "pieces": PIECES,
    "assembly": ASSEMBLY,
    "batches": BATCHES,
    "dispatches": DISPATCHES,
    "costs": COSTS,
    "purge_kg": 3.85,
    "drying": DRYING,
    "cautions": CAUTIONS,
}


def pot_plan() -> RunPlan:
    """The plan worked by hand."""
    return RunPlan.model_validate(PLAN)
