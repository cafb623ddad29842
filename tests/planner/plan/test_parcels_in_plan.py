"""Cartons, weights, pallets, inspection and customs facts in a real plan; what contradicts them is refused."""

from typing import Any

import pytest
from scipy.stats import binom

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.plan import RunPlan
from planner.plan.document import PackBatch
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.carton_campaign import campaign, document
from tests.support.reconciliation import differences


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    """The bowls and their plan."""
    bowls = campaign()
    return bowls, make_plan(bowls, Unhurried())


def batch_of(made: tuple[Campaign, RunPlan], ref: str) -> PackBatch:
    """The batch an order line is packed in."""
    line = next(n for n, order in enumerate(made[0].orders) if order.ref == ref)
    return next(batch for batch in made[1].batches if any(part.line == line for part in batch.lines))


def test_cheapest_carton_that_takes_the_contents(made: tuple[Campaign, RunPlan]) -> None:
    """One bowl: the small one; an added bowl, two bowls: the big one; a flat lid still goes on top of one bowl."""
    taken = {ref: batch_of(made, ref).pieces for ref in "abcde"}
    assert taken["a"] == taken["b"] == {"leaflet": 1, "small-box": 1}
    assert taken["c"] == taken["e"] == {"leaflet": 1, "big-box": 1}
    assert taken["d"] == {"leaflet": 1, "lid": 1, "small-box": 1}
    assert {line.id: line.used for line in made[1].pieces} == {
        "leaflet": 152,
        "lid": 1,
        "small-box": 131,
        "big-box": 21,
    }


def test_weights_by_hand(made: tuple[Campaign, RunPlan]) -> None:
    """250 g bowl + 5 g leaflet + 100 g carton; 218 x 218 x 138 mm over 5000 cm3 a kg is 1.312 kg, charged as 1.5."""
    box = batch_of(made, "a").box
    assert box is not None
    assert box.gross_kg == pytest.approx(0.355)
    assert box.outside_mm == (218, 218, 138)
    assert box.volumetric_kg == pytest.approx(21.8 * 21.8 * 13.8 / 5000)
    assert box.charged_kg == 1.5


def test_pallets_only_where_a_batch_is_worth_one(made: tuple[Campaign, RunPlan]) -> None:
    """218 mm square on 1200 x 800: 5 x 3 a layer at least, 12 layers of 138 mm under 1800 mm; 90 of 180 is half."""
    pallets = batch_of(made, "a").pallets
    assert pallets is not None
    assert (pallets.per_layer, pallets.per_pallet, pallets.pallets, pallets.last) == (15, 180, 1, 90)
    assert pallets.height_mm == 144 + 6 * 138
    assert pallets.gross_kg == pytest.approx(25 + 90 * 0.355)
    assert batch_of(made, "b").pallets is None


def test_customs_facts_add_up(made: tuple[Campaign, RunPlan]) -> None:
    """Value by hand; home has no border; a lid of known value without a code is asked after."""
    facts = {one.country: one for one in made[1].customs}
    assert list(facts) == ["DE", "GB", "US"]
    assert (facts["US"].parcels, facts["US"].value, facts["US"].dearest) == (60, 40 * 12.5 + 20 * 25, 25)
    assert facts["US"].forms == {"CN 22": 60}
    assert facts["US"].gross_kg == pytest.approx(40 * 0.355 + 20 * (0.5 + 0.005 + 0.18))
    assert facts["DE"].value == 25 + 15.5
    assert facts["DE"].missing == ["commodity code of lid", "country of origin of lid"]
    assert not facts["GB"].border
    assert not facts["GB"].forms


def test_inspection_of_each_run(made: tuple[Campaign, RunPlan]) -> None:
    """Lots of 91 to 150 at level II: letter F, which AQL 1.0 sends to n 13, Ac 0 (MIL-STD-105E, tables I and II-A)."""
    _, plan = made
    assert {found.run for found in plan.inspections} == {run.id for run in plan.runs}
    shots = {run.id: run.shots for run in plan.runs}
    for found in plan.inspections:
        assert found.lot == 2 * shots[found.run]
        (sample,) = found.samples
        if 91 <= found.lot <= 150:
            assert (sample.letter, sample.n, sample.accept, sample.reject) == ("E", 13, 0, 1)
        assert found.minutes == 4 + 0.5 * sample.n + 2 * 3
        assert (found.first_off, found.last_off) == (1, 1)
    assert any(91 <= found.lot <= 150 for found in plan.inspections)


def test_curves_are_the_binomial(made: tuple[Campaign, RunPlan]) -> None:
    """Every point of every curve against scipy's binomial."""
    plans = {(s.n, s.accept) for found in made[1].inspections for s in found.samples if not s.every_piece}
    assert {(curve.n, curve.accept) for curve in made[1].curves} == plans
    for curve in made[1].curves:
        for share, chance in curve.points:
            assert chance == pytest.approx(binom.cdf(curve.accept, curve.n, share), abs=1e-9)
        assert binom.cdf(curve.accept, curve.n, curve.consumer) == pytest.approx(0.10)


def test_small_lots_are_inspected_whole() -> None:
    """Ten bowls: the plan would draw more than the lot holds."""
    few = campaign(orders=[{"tier": "one", "units": {"bowl": ["cream"]}, "count": 8}])
    (found,) = make_plan(few, Unhurried()).inspections
    assert found.lot <= 13
    assert found.samples[0].every_piece
    assert (found.sample, found.samples[0].accept) == (found.lot, 0)


def test_plan_with_cartons_holds_and_reconciles(made: tuple[Campaign, RunPlan]) -> None:
    """The auditor and the sums of another hand."""
    assert made[1].audit is not None
    assert made[1].audit.holds
    assert differences(*made) == []


@pytest.mark.parametrize(
    "spoil", ["other carton", "no layout", "on top of each other", "out of it", "too light", "none"]
)
def test_auditor_sees_a_wrong_carton(made: tuple[Campaign, RunPlan], spoil: str) -> None:
    """A10 does not hold where carton, layout or weight are not the order's."""
    bowls, plan = made
    batch = batch_of(made, "e")
    box = batch.box
    assert box is not None
    first, second = box.layout
    changes: dict[str, Any] = {
        "other carton": {"pieces": {"leaflet": 1, "small-box": 1}},
        "no layout": {"box": box.model_copy(update={"layout": [first]})},
        "on top of each other": {"box": box.model_copy(update={"layout": [first, first]})},
        "out of it": {
            "box": box.model_copy(update={"layout": [first, second.model_copy(update={"at_mm": (300, 0, 0)})]})
        },
        "too light": {"box": box.model_copy(update={"gross_kg": 0.5})},
        "none": {"pieces": {"leaflet": 1}, "box": None},
    }[spoil]
    spoilt = [one.model_copy(update=changes) if one is batch else one for one in plan.batches]
    verdict = audit(bowls, plan.model_copy(update={"batches": spoilt}))
    (rule,) = [one for one in verdict.rules if one.rule == "A10"]
    assert not rule.holds


@pytest.mark.parametrize(("limit", "most"), [("max_kg", 0.35), ("longest_mm", 217), ("girth_mm", 900)])
def test_auditor_sees_what_the_carrier_does_not_take(made: tuple[Campaign, RunPlan], limit: str, most: float) -> None:
    """The same plan, for a carrier that takes less: its parcels are 0.355 kg, 218 mm long and 930 mm with the girth at
    least."""
    stricter = made[0].carrier.model_copy(update={limit: most})
    held = audit(made[0].model_copy(update={"carrier": stricter}), made[1])
    assert [verdict.rule for verdict in held.rules if not verdict.holds] == ["A10"]


def test_heavy_parcels_bring_the_lifting_caution() -> None:
    """24 kg bowls: over the guideline filter's figures; light ones bring none."""
    heavy = campaign(products__bowl__mass_g=24_000, carrier={}, orders=[document()["orders"][0]])
    plan = make_plan(heavy, Unhurried())
    assert [c for c in plan.cautions if c.about == "lifting"]


def test_light_parcels_bring_no_lifting_caution(made: tuple[Campaign, RunPlan]) -> None:
    """Half a kilogram needs no caution."""
    assert not [c for c in made[1].cautions if c.about == "lifting"]


@pytest.mark.parametrize(
    ("changes", "where", "words"),
    [
        ({"tiers__one__cartons": ["box"]}, "/tiers/one/cartons/0", "no bought-in piece `box`"),
        ({"tiers__one__cartons": ["leaflet"]}, "/tiers/one/cartons/0", "doesn't say what it holds"),
        ({"tiers__one__pieces": {"small-box": 1}}, "/tiers/one/pieces/small-box", "is a carton"),
        ({"products__bowl__packed_mm": None}, "/products/bowl", "has no size"),
        ({"products__bowl__packed_mm": [500, 500, 500]}, "/tiers/one/cartons", "no carton of tier `one` takes 1 bowl"),
        ({"carrier": {"max_kg": 0.3}}, "/tiers/one/cartons", "over the carrier's 0.3 kg"),
        ({"products__bowl__mass_g": 25_000}, "/tiers/one/cartons", "over the carrier's 20 kg"),
        ({"customs": {"ships_from": "XX"}}, "/customs/ships_from", "XX is no country"),
        (
            {"parts__bowl__inspection__defects": {"looks": {"aql": 1.2}}},
            "/parts/bowl/inspection/defects/looks/aql",
            "AQL 1.2",
        ),
        ({"products__bowl__declared": {"hs_code": "39.24"}}, "/products/bowl/declared/hs_code", "no commodity code"),
        ({"pieces__small_box__stock": 3}, "/pieces/small-box", "at least 131 needed"),
    ],
)
def test_contradictions_are_told(changes: dict[str, Any], where: str, words: str) -> None:
    """Each at its field, in the maker's words, with a remedy."""
    with pytest.raises(CampaignProblems) as refused:
        read(document(**changes))
    told = [problem for problem in refused.value.problems if problem.pointer == where]
    assert told, refused.value.problems
    assert words in told[0].message
    assert told[0].remedy
