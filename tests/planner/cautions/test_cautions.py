"""Each caution comes where it applies, with its source, and defers to local codes."""

import csv
from datetime import UTC, datetime
from pathlib import Path

import pytest

from planner.campaign import Campaign
from planner.cautions import cautions_for
from planner.cautions.dwell import POM_DWELL, hottest, residence_minutes
from planner.cautions.working_time import beyond_one_crew
from planner.material import DryingLoad
from planner.plan.document import Changeover, Cleared, Closing, Purge, Run, Stretch

AT = datetime(2027, 1, 11, 6, tzinfo=UTC)
HERE = Path(__file__).parent


def campaign(family="PP", other="PE", **more):
    """A press, a tool, a resin of the family given, and a second resin."""
    return Campaign.model_validate(
        {
            "name": "cautions",
            "start": "2027-01-11T06:00",
            "presses": {"p": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200, "clean": True}], "clamp_kn": 500}},
            "tools": {"t": {"cavities": {"a": 4}, "runner_g": [4], "cycle_s": 27, "presses": ["p"], "clamp_kn": 90}},
            "resins": {"r": {"family": family}, "s": {"family": other}},
            "colours": {"c": {"hex": "#ffffff"}},
            "parts": {"a": {"barrels": [{"resin": "r", "mass_g": 9}]}},
            "products": {"q": {"parts": {"a": 1}, "colourways": {"w": {"a": ["c"]}}}},
            "tiers": {"one": {"units": {"q": 1}}},
            "orders": [{"tier": "one", "units": {"q": ["w"]}}],
        }
        | more
    )


def run(melt="r/c", mount=0, purged=False):
    """A run on the press, with or without mount and purge."""
    purge = Purge.model_validate(
        {"where": "barrel", "barrel": 1, "from": "s/c", "to": melt, "kg": 1, "kg_p10": 1, "kg_p90": 1, "shots": 9,
         "seconds": 90, "cost": 1, "basis": "given"}
    )  # fmt: skip
    changeover = Changeover(
        start=AT, end=AT, setter=1, warm_up_seconds=0, mount_seconds=mount, from_tool=None,
        purges=[purge] if purged else [], startup_shots=0, startup_seconds=0,
    )  # fmt: skip
    return Run(
        id="r1", press="p", tool="t", melts=[melt], shots=9, shot_seconds=30, changeover=changeover, start=AT, end=AT,
        stretches=[], parts=[], waits_for="", cost=0,
    )  # fmt: skip


def about(found):
    return [c.about for c in found]


def test_dwell_table_is_the_suppliers():
    """Cell by cell against the published table (Polyplastics Duracon moulding guide, section 2.1)."""
    with (HERE / "pom_duracon_dwell.csv").open(newline="") as rows:
        published = tuple((int(r["melt_C"]), int(r["max_dwell_min"])) for r in csv.DictReader(rows))
    assert published == POM_DWELL


@pytest.mark.parametrize(("minutes", "degrees"), [(5, 230), (10, 230), (10.1, 210), (30, 210), (60, 200), (61, None)])
def test_hottest_melt_for_a_stay(minutes, degrees):
    """The table read the safe way: never a temperature whose limit is exceeded."""
    assert hottest(minutes) == degrees


def test_residence_is_hold_up_over_shot_times_cycle():
    """0.4 kg in 40 g shots of 30 s: ten shots, five minutes."""
    assert residence_minutes(0.4, 40, 30) == pytest.approx(5)


def test_pom_says_how_long_it_stays():
    """POM brings the forbidden pair, its fumes and its dwell, with this press's own minutes."""
    found = cautions_for(campaign("POM"), [run()])
    assert about(found) == ["POM (acetal) and PVC", "fumes of POM", "POM in the barrel", "standing r"]
    assert "clear it at once" in found[3].text
    assert "about 5 min in barrel 1 of press `p` with tool `t`" in found[2].text
    assert "60 min at 200 °C, 30 at 210, 10 at 230" in found[2].text


def test_a_large_barrel_for_a_small_pom_shot_is_too_long():
    """2 kg hold-up at 40 g a shot: 25 minutes at 30 s, so no hotter than 210; 8 kg: too long for any."""
    presses = {"p": {"barrels": [{"holdup_kg": 2, "shot_max_g": 200, "clean": True}], "clamp_kn": 500}}
    assert "so at most 210 °C" in cautions_for(campaign("POM", presses=presses), [run()])[2].text
    presses["p"]["barrels"][0]["holdup_kg"] = 8
    assert "use a smaller barrel" in cautions_for(campaign("POM", presses=presses), [run()])[2].text


def test_the_hot_runner_holds_pom_as_well():
    """0.2 kg in the barrel and 0.6 kg in the hot runner at 4 g a shot are 200 shots: at 33.3 s a shot 111 minutes, not
    the 28 of the barrel alone; longer than the table allows at any temperature."""
    held = campaign(
        "POM",
        presses={"p": {"barrels": [{"holdup_kg": 0.2, "shot_max_g": 200, "clean": True}], "clamp_kn": 500}},
        tools={
            "t": {
                "cavities": {"a": 1},
                "cycle_s": 30,
                "presses": ["p"],
                "hot_runner_kg": [0.6],
                "hot_runner_clean": True,
                "clamp_kn": 90,
            }
        },
        parts={"a": {"barrels": [{"resin": "r", "mass_g": 4}]}},
    )
    said = cautions_for(held, [run().model_copy(update={"shot_seconds": 33.3})])[2].text
    assert "about 111 min in barrel 1 of press `p` and the hot runner of tool `t`" in said
    assert "use a smaller barrel or hot runner" in said


@pytest.mark.parametrize(
    ("family", "gas"),
    [("PVC", "hydrogen chloride (HCl)"), ("POM", "formaldehyde"), ("ABS", "styrene"), ("PS", "styrene"),
     ("pvc-u", "hydrogen chloride (HCl)"), ("uPVC", "hydrogen chloride (HCl)"), ("PE-C", "hydrogen chloride (HCl)"),
     ("PVDC", "hydrogen chloride (HCl)"), ("Acetal", "formaldehyde"), ("PC/ABS", "styrene"), ("HIPS", "styrene")],
)  # fmt: skip
def test_fumes_by_family(family, gas):
    """HSE Plastics Processing Sheet 13, table 1: what overheated resin gives off (PVC HCl, acetal formaldehyde, ABS and
    PS styrene), at the nozzle and when purging. Other chlorinated resins as PVC: from memory."""
    (said,) = [c for c in cautions_for(campaign(family), [run()]) if gas in c.text]
    assert "Sheet 13" in said.source
    assert "ventilate at the nozzle and when purging" in said.text


def test_an_alloy_of_two_gives_off_what_both_do():
    found = about(cautions_for(campaign("PVC/ABS"), [run()]))
    assert {"fumes of PVC", "fumes of ABS"} <= set(found)


def test_flame_retardants_with_halogens_have_fumes_of_their_own():
    """From memory, and said so."""
    flame_retardant = {"family": "ABS", "halogenated_flame_retardant": True}
    told = cautions_for(campaign(resins={"r": flame_retardant, "s": {"family": "PE"}}), [run()])
    (said,) = [c for c in told if "HBr" in c.text]
    assert "from memory" in said.source
    assert "POM (acetal) and PVC" in about(told)


def test_clearing_acetal_is_purging_with_fumes():
    """A run of acetal that needs no changeover is cleared before its closing all the same: melt is thrown, and
    formaldehyde comes with it."""
    cleared = Cleared.model_validate(
        {"where": "barrel", "barrel": 1, "from": "r/c", "to": "s/c", "kg": 1, "cost": 1},
    )
    stretch = Stretch(
        start=AT, end=AT, restart_seconds=0, restart_shots=0, shots=9, closing=Closing(seconds=60, cleared=[cleared])
    )
    closed = run().model_copy(update={"stretches": [stretch], "changeover": None})
    found = about(cautions_for(campaign("POM"), [closed]))
    assert {"purging", "fumes of POM", "POM (acetal) and PVC", "standing r"} <= set(found)
    assert about(cautions_for(campaign(), [run().model_copy(update={"changeover": None})])) == []


@pytest.mark.parametrize(("family", "gas"), [("POM", "formaldehyde"), ("PVC", "HCl"), ("ABS", "styrene")])
def test_what_is_purged_out_has_its_fumes_though_nobody_moulds_it(family, gas):
    """A barrel that begins with acetal or PVC is heated and purged by whoever makes the first run, of another resin."""
    found = cautions_for(campaign("PP", family), [run(purged=True)])
    assert any(gas in c.text for c in found)
    assert ("POM (acetal) and PVC" in about(found)) == (family != "ABS")


def test_resins_not_moulded_bring_no_caution():
    """A PVC that stands in the document but is in no run has no fumes; PP alone has nothing to say."""
    assert cautions_for(campaign("PP", "PVC"), [run()]) == []


def test_purging_and_tool_changes():
    """Protection when purging and lock-out before a tool change come when there are any."""
    assert about(cautions_for(campaign(), [run(mount=600)])) == ["tool change"]
    assert about(cautions_for(campaign(), [run(purged=True)])) == ["purging"]


@pytest.mark.parametrize(("finish", "warned"), [("metallic", True), ("pearlescent", True), ("solid", False)])
def test_flakes_that_are_purged_out_are_warned_of(finish, warned):
    """A barrel that begins with a metallic melt of the same colour: its flakes show in the next (common practice)."""
    colours = {"c": {"hex": "#8a8a8a"}, "o": {"hex": "#8a8a8a", "finish": finish}}
    (purge,) = run(purged=True).changeover.purges
    change = run(purged=True).changeover.model_copy(update={"purges": [purge.model_copy(update={"from_": "s/o"})]})
    found = cautions_for(campaign(colours=colours), [run().model_copy(update={"changeover": change})])
    assert ("colour o" in about(found)) == warned
    assert all("left-over" in c.text for c in found if c.about == "colour o")


def test_the_makers_pairs_are_named():
    """A pair the maker forbids, when both are moulded."""
    pairs = [{"one": "r", "other": "s", "why": "stains"}]
    found = cautions_for(campaign(forbidden_pairs=pairs), [run(), run("s/c")])
    assert about(found) == ["r and s"]
    assert "stains" in found[0].text


def test_working_time():
    """48 h on average and 11 h of daily rest (Directive 2003/88/EC): 80 h and 16 h a day need shifts, 40 h don't."""
    day = campaign().presses["p"]
    assert beyond_one_crew("p", day) is None
    long = day.model_copy(update={"hours": {"mon-fri": "06:00-22:00"}})
    assert beyond_one_crew("p", long) == (
        "p is open 80 h a week, over 48 and 16 h from opening to closing, which leaves less than 11 h of rest"
    )
    split = day.model_copy(update={"hours": {"mon": "05:00-07:00, 17:00-19:00"}})
    assert "14 h from opening to closing" in beyond_one_crew("p", split)
    found = cautions_for(campaign(assembly={"hours": {"mon-sat": "08:00-17:00"}}), [run()])
    assert "the assembly bench is open 54 h a week" in found[0].text


def test_heavy_parcels_and_waiting_resin():
    """A 30 kg parcel is over both lifting guides; the longest wait of a dried resin speaks for it."""
    load = DryingLoad("d", "r", 5, AT, AT, AT, AT, ("r1",), "Dried `r` waits.")
    found = cautions_for(campaign(), [run()], heaviest_parcel_kg=30, drying=[load])
    assert about(found) == ["dried r", "unattended d", "lifting"]
    assert cautions_for(campaign(), [run()], heaviest_parcel_kg=1) == []


def test_every_caution_defers_to_local_codes_and_has_a_source():
    """Whatever applies, what comes first is said, once."""
    everything = campaign(
        "POM", "ABS", forbidden_pairs=[{"one": "r", "other": "s"}], assembly={"hours": {"mon-sun": "00:00-24:00"}}
    )
    load = DryingLoad("d", "r", 5, AT, AT, AT, AT, ("r1",), "Dried `r` waits.")
    runs = [run(mount=60, purged=True), run("s/c")]
    found = cautions_for(everything, runs, heaviest_parcel_kg=30, drying=[load])
    assert len(found) == 13  # ABS that is not dried among them
    for one in found:
        assert one.text.endswith("Local codes, the supplier's data sheet and licensed practice come first.")
        assert one.text.count("licensed practice") == 1
        assert one.source
