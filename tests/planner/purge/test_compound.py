"""What a change takes with a purging compound, where it is offered and preferred, and what the log teaches of it."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from planner.campaign.purging import Compound
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.purge.barrel import Barrel
from planner.purge.basis import Basis
from planner.purge.colour import grey
from planner.purge.compound import Place, Weighed, better, compound_figures
from planner.purge.cost import PurgePrices
from planner.purge.estimate import Melt
from planner.purge.figures import behind, campaign_figures
from planner.purge.matrix import purge_figures, with_compound
from planner.purge.table import PurgePace, purge_table
from planner.reading.checks import check
from tests.planner.audit.test_audit_compound import workshop

MELTS = [Melt("pp", "white", grey(0.9)), Melt("pp", "black", grey(0.04)), Melt("tpe", "white", grey(0.9))]
WHITE, BLACK = 0, 1
BARREL = Place("p1", 0)


def figures(place: Place = BARREL, **terms: Any):
    return compound_figures(Compound.model_validate({"price_per_kg": 5} | terms), MELTS, 0.5, place)


def test_hold_ups_of_compound_and_rinse_and_the_makers_own_figures_before_them() -> None:
    given = [
        {"from": "pp/black", "to": "pp/white", "kg": 0.4, "rinse_kg": 0.7, "soak_minutes": 9},
        {"from": "pp/black", "to": "pp/white", "kg": 0.3, "rinse_kg": 0.6, "press": "p1"},
        {"from": "pp/black", "to": "pp/white", "kg": 9, "rinse_kg": 9, "press": "p2"},
    ]
    found = figures(holdups=1.2, rinse_holdups=2, soak_minutes=4, given=given)
    assert (found.kg[WHITE, BLACK], found.rinse_kg[WHITE, BLACK]) == (0.6, 1.0)
    assert (found.kg[BLACK, WHITE], found.rinse_kg[BLACK, WHITE]) == (0.3, 0.6), "the closest figure"
    assert found.soak_s[BLACK, WHITE] == found.soak_s[WHITE, BLACK] == 240
    assert found.soak_s[0, 0] == found.kg[0, 0] == 0
    assert Basis(int(found.basis[BLACK, WHITE])) is Basis.GIVEN
    assert Basis(int(found.basis[WHITE, BLACK])) is Basis.ESTIMATED
    assert (found.low <= found.total_kg).all()
    assert (found.total_kg <= found.high).all()
    hot = figures(Place(None, 0, hot_runner=True), holdups=1.2, given=given, hot_runners=True)
    assert hot.kg[BLACK, WHITE] == 0.6, "figures given are a barrel's"


def test_where_it_is_offered() -> None:
    """Its resins, hot runners only where its supplier allows them, and the closest rule of the maker's."""
    assert figures().offered.sum() == 6
    assert figures(resins=["pp"]).offered.sum() == 2
    hot = Place(None, 0, hot_runner=True)
    assert not figures(hot).offered.any()
    assert figures(hot, hot_runners=True).offered.sum() == 6
    rules = [{"use": "always", "to": "pp/white"}, {"use": "never", "to": "pp/white", "from": "pp/black", "press": "p1"}]
    found = figures(use="never", rules=rules)
    assert not found.offered[BLACK, WHITE]
    assert found.only[2, WHITE]
    assert not found.offered[WHITE, BLACK]
    assert figures(Place("p2", 0), use="never", rules=rules).only[BLACK, WHITE]
    assert figures(hot, hot_runners=True, use="never", rules=rules).only[BLACK, WHITE], (
        "a rule of a press is a barrel's"
    )


def test_each_aim_has_its_own_better_way() -> None:
    def weighed(kg: float, seconds: float, money: float) -> Weighed:
        return Weighed(*(np.array([value]) for value in (kg, seconds, money)))

    quick, cheap = weighed(3, 10, 9), weighed(2, 20, 4)
    assert better("soonest", quick, cheap)[0]
    assert not better("cost", quick, cheap)[0]
    assert not better("waste", quick, cheap)[0]
    assert better("waste", cheap, quick)[0]
    assert better("soonest", weighed(1, 10, 4), weighed(1, 10, 5))[0], "money decides between equals"
    assert not better("cost", quick, quick)[0]


def test_the_matrix_shows_each_change_the_better_way() -> None:
    """5 kg-worth of melt (1.5 x 5 + 2 x 1 hold-ups) against 7.59 and 2.25 hold-ups of melt at 1 a kilogram."""
    barrel = purge_figures_of({"price_per_kg": 2, "holdups": 1, "rinse_holdups": 2})
    table = purge_table(barrel, PACE, PurgePrices(1.0, compound_per_kg=2.0))
    assert table.figures.compound_kg[BLACK, WHITE] == 0.5
    assert table.figures.kg[BLACK, WHITE] == 1.5
    assert table.money[BLACK, WHITE] == pytest.approx(0.5 * 2 + 1.0)
    assert table.figures.compound_kg[WHITE, BLACK] == 0, "light to dark is cheap with melt"
    assert "compound" in table.figures.explain(BLACK, WHITE)
    soaked = purge_figures_of({"price_per_kg": 2, "holdups": 1, "rinse_holdups": 2, "soak_minutes": 60})
    table = purge_table(soaked, PACE, PurgePrices(1.0, compound_per_kg=2.0, press_per_hour=40))
    assert table.figures.compound_kg[BLACK, WHITE] == 0, "an hour of soaking costs more than it spares"


PACE = PurgePace([Fraction(25)] * len(MELTS), shot_g=50, cycle_s=20)


def purge_figures_of(compound: dict[str, Any]):
    plain = purge_figures(Barrel("p1:1", 0.5), MELTS)
    return replace(plain, compound=compound_figures(Compound.model_validate(compound), MELTS, 0.5, BARREL))


def test_a_hot_runner_it_is_not_fit_for_is_rinsed_with_melt_behind_it() -> None:
    for hot_runners, used in ((False, 0.4), (True, 0.5)):
        campaign = workshop(hot_runners=hot_runners, given=[])
        barrel = campaign_figures(campaign, ["pp/cream", "pp/ink"])["p1", 0]
        both = behind(campaign.purging, 0, barrel, 0.1)
        chosen = with_compound(both, both.compound.offered)
        assert chosen.compound_kg[1, 0] == pytest.approx(used)
        hot_melt = 0 if hot_runners else float(np.round(barrel.estimate.hold_ups[1, 0] * 0.1, 3))
        assert chosen.kg[1, 0] == pytest.approx(2.25 * used + hot_melt)


def test_purges_with_compound_teach_the_compounds_figures_and_not_the_melts() -> None:
    """Eight that took twice the hold-ups nearly double them, narrow the range and leave the melt's factor alone."""
    entry = {"press": "p1", "from": "pp/ink", "to": "pp/sage", "kg": 2 * 0.4 * 2.25, "compound": True}
    plain, taught = (
        campaign_figures(with_log(log), ["pp/cream", "pp/ink", "pp/sage"])["p1", 0] for log in ([], [entry] * 8)
    )
    assert taught.fit == plain.fit
    assert (taught.kg == plain.kg).all()
    assert len(taught.log.compound_used) == 8
    assert taught.log.set_aside == ()
    ratio = taught.compound.kg[0, 1] / plain.compound.kg[0, 1]
    assert 1.8 < ratio <= 2.0
    assert taught.compound.high[0, 1] / taught.compound.low[0, 1] < plain.compound.high[0, 1] / plain.compound.low[0, 1]
    assert "8 logged purges with compound" in with_compound(taught, taught.compound.offered).explain(1, 0)


def with_log(log: list[dict[str, Any]]):
    campaign = workshop(given=[])
    data = campaign.model_dump(mode="json", by_alias=True)
    data["purging"]["log"] = log
    return type(campaign).model_validate(data)


def test_without_enough_of_it_the_plan_purges_with_melt() -> None:
    """Half a kilogram in hand and none to be bought: one change is cleaned, later ones are not; the plan says why."""
    scarce = workshop(
        use="cheapest", rules=[], given=[], stock_kg=0.5, lead_days=None, hot_runners=False, soak_minutes=0
    )
    plan = make_plan(scarce, Unhurried())
    cleaned = [p for run in plan.runs if run.changeover for p in run.changeover.purges if p.compound_kg]
    assert len(cleaned) == 1
    none = make_plan(
        workshop(use="cheapest", rules=[], given=[], stock_kg=0, lead_days=None, soak_minutes=0), Unhurried()
    )
    assert none.purging.compound_use is None
    assert all("none in hand" in offer.why_not for offer in none.purging.compound)
    assert none.purging.compound


def test_compound_makes_a_plan_no_dearer_and_says_what_it_spares() -> None:
    """Plenty in hand, so that no minimum order is in the way: what it spares against melt is in the total."""
    cheap = {"price_per_kg": 0.5, "use": "cheapest", "rules": [], "stock_kg": 50, "given": [], "soak_minutes": 0}
    with_it = make_plan(workshop(**cheap), Unhurried())
    without = make_plan(workshop(**cheap | {"use": "never"}), Unhurried())
    assert with_it.outcome.total < without.outcome.total
    use = with_it.purging.compound_use
    assert use.name == "scrub"
    assert use.saves > 0
    assert use.melt_kg > use.kg + use.rinse_kg
    assert without.purging.compound_use is None
    assert {offer.why_not for offer in without.purging.compound} == {"the maker's rule says never"}
    about = [caution for caution in with_it.cautions if caution.about == "purging compound scrub"]
    assert "safety data sheet" in about[0].text


CONTRADICTIONS: list[tuple[dict[str, Any], str, str]] = [
    ({"stock_kg": 0, "lead_days": None}, "/purging/compound", "wanted always"),
    ({"resins": ["pq"]}, "/purging/compound/resins/0", "no resin `pq`"),
    ({"rules": [{"use": "never", "press": "p9"}]}, "/purging/compound/rules/0/press", "no press `p9`"),
    ({"rules": [{"use": "never", "press": "p1", "barrel": 2}]}, "/purging/compound/rules/0/barrel", "no barrel 2"),
    ({"rules": [{"use": "never"}, {"use": "always"}]}, "/purging/compound/rules/1", "same change"),
    (
        {"given": [{"from": "pp/ink", "to": "pp/ink", "kg": 1, "rinse_kg": 1}]},
        "/purging/compound/given/0/to",
        "by itself",
    ),
    ({"holdups": 1e9}, "/purging/compound/holdups", "shots of 80 g"),
]


@pytest.mark.parametrize(("terms", "where", "words"), CONTRADICTIONS, ids=[w for _, w, _ in CONTRADICTIONS])
def test_contradictions_are_named(terms: dict[str, Any], where: str, words: str) -> None:
    with pytest.raises(CampaignProblems) as refused:
        workshop(**terms)
    problems = {problem.pointer: problem.message for problem in refused.value.problems}
    assert words in problems[where]
    assert check(workshop()) == []
