"""Every ordered pair of the families: directly, over a bridge or refused, as their temperatures say."""

from collections import Counter
from itertools import permutations

import pytest

from planner.audit import resin_heat
from planner.campaign.families import FAMILIES
from planner.campaign.forbidden import why_forbidden
from planner.campaign.heat import bridges, cleared_with, heat_of, in_step, may_be_left, meet_at, must_be_cleared
from planner.errors import CampaignProblems
from planner.purge.heating import bridge_kg, closing_kg, heating_seconds
from planner.reading import read
from planner.schedule.encode import compile_campaign
from tests.support.sampled import sampled

PUBLISHED = {
    # melt ranges, degrees C: plastic-industry.com processing guidelines (converted); Polyplastics Duracon 2.1 for
    # acetal; a PA6 maker's processing page; Bayer for PC+ABS
    "PP": (204, 260), "PE": (182, 274), "ABS": (199, 282), "PC": (271, 321), "PA6": (225, 265), "POM": (190, 210),
    "PMMA": (216, 266), "PBT": (232, 254), "PS": (204, 249), "TPE": (177, 260), "PC+ABS": (240, 280),
}  # fmt: skip


def campaign(one, other, more=None, presses=1, held=None):
    """Two tools, each with a resin of its own family; presses: how many both fit."""
    names = [f"p{n}" for n in range(1, presses + 1)]
    barrel = {"holdup_kg": 0.2, "shot_max_g": 200} | ({"holds": held} if held else {"clean": True})
    neither = {"neither_acetal_nor_halogenated": True}
    return {
        "document": "campaign/1",
        "name": "pair",
        "start": "2027-01-11T06:00",
        "presses": {name: {"barrels": [barrel], "clamp_kn": 500} for name in names},
        "tools": {
            f"t{n}": {"cavities": {f"a{n}": 1}, "cycle_s": 30, "clamp_kn": 200, "presses": names, "mount_minutes": 20}
            for n in (1, 2)
        },
        "resins": {
            "r1": {"family": one, "stock_kg": 90} | (neither if one == "other" else {}),
            "r2": {"family": other, "stock_kg": 90} | (neither if other == "other" else {}),
        }
        | (more or {}),
        "colours": {"c": {"hex": "#5b6670", "stock_kg": 9}, "clear": {"let_down_percent": 0}},
        "parts": {f"a{n}": {"barrels": [{"resin": f"r{n}", "mass_g": 20}]} for n in (1, 2)},
        "products": {"q": {"parts": {"a1": 1, "a2": 1}, "colourways": {"w": {"a1": ["c"], "a2": ["c"]}}}},
        "tiers": {"one": {"units": {"q": 1}}},
        "orders": [{"tier": "one", "units": {"q": ["w"]}, "count": 20}],
    }


def _problems(document):
    """What the document is refused for; None: it is read."""
    try:
        read(document)
    except CampaignProblems as refused:
        return refused.problems
    return None


PE = {"pe": {"family": "PE", "stock_kg": 200, "natural_colour": "clear"}}
USUAL = [family.abbreviation for family in FAMILIES if family.melt_c and family.danger != "unsure"]


def test_what_is_not_named_exactly_is_taken_for_what_asks_for_the_most():
    """Nylon of which nobody says which flows where PA66 does, beside what breaks down; PVC stands what soft PVC does, a
    halogenated blend nobody gives figures of stands no more than soft PVC."""
    known = {family.abbreviation: family for family in FAMILIES}
    assert known["PA"].surely_flows_c == known["PA66"].melt_c[0]
    assert known["PA"].melt_c[0] == known["PA6"].melt_c[0]
    assert in_step(read(campaign("nylon", "TPE")), "r1", "r2")  # neither breaks down where the other flows
    assert known["PVC"].survives_c == min(known[name].survives_c for name in ("PVC-U", "PVC-P"))
    halogenated = [family for family in FAMILIES if family.danger == "halogen" and family.melt_c is None]
    assert {family.survives_c for family in halogenated} == {known["PVC-P"].survives_c}
    made = read(campaign("nylon", "POM", PE))
    assert not in_step(made, "r1", "r2")
    assert bridges(made, "r1", "r2", frozenset(made.resins)) == ["pe"]


def test_the_table_is_the_published_one():
    """Melt ranges against suppliers' guides, each named beside the figures."""
    known = {family.abbreviation: family.melt_c for family in FAMILIES}
    assert {name: known[name] for name in PUBLISHED} == PUBLISHED
    assert next(f.survives_c for f in FAMILIES if f.abbreviation == "POM") == 230  # 10 minutes, Duracon 2.1


@pytest.mark.parametrize("one", USUAL)
def test_each_ordered_pair_goes_as_its_temperatures_say(one):
    """One press, PE to go between: forbidden pairs and those nothing suits are refused, the rest is planned for."""
    outcomes: Counter[str] = Counter()
    others = sampled([family for family in USUAL if family != one], 3, USUAL.index(one))
    for other in others:
        mine = {f.abbreviation: f for f in FAMILIES}
        a, b = mine[one], mine[other]
        low = max(a.melt_c[0], b.melt_c[0])
        meet = low <= min(a.survives_c or a.melt_c[1], b.survives_c or b.melt_c[1])
        document = campaign(one, other, PE)
        if (problems := _problems(document)) is not None:
            assert problems
            assert all(problem.remedy and problem.pointer for problem in problems)
            outcomes["refused"] += 1
            continue
        made = read(document)
        assert why_forbidden(made, "r1", "r2") is None
        inst, names = compile_campaign(made)
        needs = inst.bridging > 0
        cleared = must_be_cleared("r1", made.resins["r1"]) or must_be_cleared("r2", made.resins["r2"])
        if not cleared:
            assert needs == (not meet), (one, other)
        if needs:
            pairs = {(names.melts[i], names.melts[j]) for i, j in zip(*(inst.bridge >= 0).nonzero(), strict=True)}
            assert all(not in_step(made, a.split("/")[0], b.split("/")[0]) for a, b in pairs)
        outcomes["bridged" if needs else "direct"] += 1
        assert not inst.clash.any()
    assert sum(outcomes.values()) == len(others)


def test_without_a_bridge_it_is_refused_at_a_field_with_a_remedy():
    """PC after acetal-like temperatures: TPE stands 260, PC begins at 271; on one press nothing may go between."""
    with pytest.raises(CampaignProblems) as refused:
        read(campaign("TPE", "PC"))
    (problem,) = refused.value.problems
    assert problem.pointer == "/tools/t2/presses"
    assert "no heat suits both" in problem.message
    assert "add a resin to go between" in problem.remedy
    assert read(campaign("TPE", "PC", presses=2))  # kept apart on two presses
    assert read(campaign("TPE", "PC", PE))  # bridged


def test_hot_first_then_acetal_needs_a_bridge_as_well():
    """The old melt's range lies above what the new one survives: PC or PA66 first, then acetal or PVC."""
    for hot in ("PC", "PA66"):
        for soft in ("POM", "PVC"):
            made = read(campaign(hot, soft, PE))
            assert bridges(made, "r1", "r2", frozenset(made.resins)) == ["pe"]
            assert meet_at(heat_of("r1", made.resins["r1"]), heat_of("r2", made.resins["r2"])) is None


def test_a_bridge_never_makes_a_forbidden_pair_allowed():
    """Acetal and PVC share no barrel, whatever stands between."""
    with pytest.raises(CampaignProblems) as refused:
        read(campaign("POM", "PVC", PE))
    assert any("decompose violently" in problem.message for problem in refused.value.problems)


def test_what_must_not_stand_needs_something_to_clear_it():
    """Acetal without a resin that may stand is refused; PE without a natural colour, or dried, does not do."""
    for more in ({}, {"pe": {"family": "PE", "stock_kg": 9}}, {"pe": PE["pe"] | {"drying_hours": 1}}):
        with pytest.raises(CampaignProblems) as refused:
            read(campaign("POM", "POM", more))
        assert refused.value.problems[0].pointer == "/resins/r1"
        assert "natural_colour" in refused.value.problems[0].remedy
    made = read(campaign("POM", "POM", PE))
    assert cleared_with(made, "r1", frozenset(made.resins)) == "pe"


def test_bridges_and_closings_take_hold_ups_of_their_own():
    """By hand: 2 hold-ups of 0.2 kg between two resins, 5 to clear one; heating and cooling at rates of their own, from
    296 (PC) to 200 (acetal) and back."""
    data = campaign("PC", "POM", PE) | {"purging": {"bridge_holdups": 2, "closing_holdups": 5}}
    data["presses"]["p1"] |= {"heats_c_per_minute": 8, "cools_c_per_minute": 3}
    made = read(data)
    assert (bridge_kg(made, "p1", 0), closing_kg(made, 0.2)) == (0.4, 1.0)
    assert heating_seconds(made, "p1", "r1", "r2") == 96 / 3 * 60
    assert heating_seconds(made, "p1", "r2", "r1") == 96 / 8 * 60


def test_an_unknown_resin_is_counted_on_for_little():
    """Nothing known: no hotter than acetal stands (230), so PET (271) has a bridge before it or is refused."""
    with pytest.raises(CampaignProblems):
        read(campaign("other", "PET"))
    assert read(campaign("other", "PP"))
    assert read(campaign("other", "PET", {"r1": {"family": "other", "neither_acetal_nor_halogenated": True,
                                                   "stock_kg": 9, "melt_c": [200, 275]}}))  # fmt: skip


@pytest.mark.parametrize(
    ("resin", "field", "words"),
    [
        ({"family": "PP", "melt_c": [260, 204]}, "melt_c", "goes from 260 to 204"),
        ({"family": "POM", "melt_c": [190, 260], "survives_c": 300}, "melt_c", "stands 230"),
        ({"family": "POM", "stands_cold": True}, "stands_cold", "never do"),
    ],
)
def test_figures_that_cannot_be_are_refused_at_their_field(resin, field, words):
    """Upside down, hotter than acetal stands, acetal said to stand."""
    with pytest.raises(CampaignProblems) as refused:
        read(campaign("PP", "PP", {"r1": resin | {"stock_kg": 9}} | PE))
    found = [p for p in refused.value.problems if p.pointer == f"/resins/r1/{field}"]
    assert words in found[0].message


def test_the_auditor_reads_the_same_of_every_word():
    """Each family's every word, read by the planner and, from its own table, by the auditor."""
    for family in FAMILIES:
        for word in (family.abbreviation, *family.aliases.split()):
            made = read(campaign("PP", "PP", {"x": {"family": word, "stock_kg": 1}}))
            ours, theirs = heat_of("x", made.resins["x"]), resin_heat.heat(made, "x")
            assert (ours.low or None, ours.high or None, ours.survives) == theirs, word
            assert must_be_cleared("x", made.resins["x"]) == resin_heat.must_go(made, "x"), word
            assert may_be_left("x", made.resins["x"]) == resin_heat.may_stay(made, "x"), word


def test_meeting_is_the_same_either_way():
    """For every pair of families."""
    made = read(campaign("PP", "PP", {f"x{n}": {"family": f.abbreviation} for n, f in enumerate(FAMILIES)}))
    for one, other in permutations([f"x{n}" for n in range(len(FAMILIES))], 2):
        assert in_step(made, one, other) == in_step(made, other, one) == resin_heat.meet(made, one, other)
