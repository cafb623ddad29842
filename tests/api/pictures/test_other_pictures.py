"""Stock, dispatches, barrel paths and cost: the figures they draw are the plan's."""

import re
from datetime import date
from xml.etree import ElementTree

import pytest

from api.languages import wording
from api.pictures.cost import cost_svg
from api.pictures.dispatches import HEAD, ROW, dispatch_svg
from api.pictures.path import ROW as BARREL_ROW
from api.pictures.path import path_svg
from api.pictures.stock import levels
from api.services.standing_promise import Sure
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

SVG = "{http://www.w3.org/2000/svg}"


def said(picture: str) -> str:
    root = ElementTree.fromstring(picture)
    return " | ".join([root.get("aria-label") or "", *(title.text or "" for title in root.iter(f"{SVG}title"))])


def test_no_part_is_drawn_as_used_before_it_is_there():
    """A8 to within the one part that ramps instead of single shots can be off; at the end all that is over is left."""
    plan = pot_plan()
    found = levels(plan, pot_campaign())
    assert found
    for (part, colours), level in found.items():
        assert min(value for _, value in level) > -1.01, part
        balance = next(b for b in plan.balance if b.part == part and tuple(b.colours) == colours)
        made = sum(p.good for r in plan.runs for p in r.parts if p.part == part and tuple(p.colours) == colours)
        assert level[-1][1] == pytest.approx(balance.stock + made - balance.ordered, abs=1e-6)


def test_moments_of_a_level_rise():
    """Time never runs backwards along a curve."""
    for level in levels(pot_plan(), pot_campaign()).values():
        moments = [moment for moment, _ in level]
        assert moments == sorted(moments)


def test_stairs_end_at_all_parcels_gone():
    """Each tier's last step says n of n."""
    text = said(dispatch_svg(pot_plan()))
    for tier in pot_plan().tiers:
        assert f"{tier.parcels} of {tier.parcels} gone" in text


def test_each_tier_has_a_stair_below_the_one_before():
    """From as far below the top as its row is high, all alike, the last one inside the picture."""
    picture = dispatch_svg(pot_plan())
    feet = [float(y) for y in re.findall(r'd="M[\d.]+,([\d.]+)H', picture)]
    assert len(feet) == len(pot_plan().tiers) == 2
    assert feet == [HEAD + ROW - 12, HEAD + 2 * ROW - 12]
    assert feet[-1] < float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', picture)[1])


def test_the_band_of_the_last_day_is_said_in_words():
    """P50, P80 and P95 stand in the picture, and the sheet is long enough to show them."""
    plan = pot_plan()
    sure = {plan.tiers[0].tier: Sure(date(2027, 2, 1), date(2027, 2, 5), date(2027, 2, 12))}
    text = said(dispatch_svg(plan, None, sure))
    for told in ("even odds by Mon 1 Feb 2027 (P50)", "80 % likely by Fri 5 Feb 2027 (P80)", "Fri 12 Feb 2027 (P95)"):
        assert told in text


def test_purge_along_the_barrels_adds_up_to_the_plans():
    """By hand: 1.25 kg before the second run in press one, 2.4 in press two's barrel and 0.2 in the hot runner."""
    drawn = ElementTree.fromstring(path_svg(pot_plan(), pot_campaign()))
    assert float(drawn.get("viewBox", "").split()[-1]) == 14 + 3 * (BARREL_ROW + 8) + 20, "one below the other"
    assert len(list(drawn.iter(f"{SVG}g"))) >= len(pot_plan().runs)
    described = drawn.findtext(f"{SVG}desc") or ""
    purged = {way.partition(":")[0].strip(): way.rpartition("; ")[2] for way in described.split(" purged.")[:-1]}
    assert purged == {
        "one 1": wording.kilograms(1.25), "two 1": wording.kilograms(2.6), "two 2": wording.kilograms(0.0),
    }  # fmt: skip
    assert pot_plan().purge_kg == 1.25 + 2.6


def test_every_cost_line_is_said_with_its_amount():
    """And the total, by name."""
    plan, text = pot_plan(), said(cost_svg(pot_plan()))
    for line in plan.costs:
        assert (line.what in text) == bool(line.amount)


def test_on_a_phone_every_line_still_stands_in_full():
    """At 320 px the cost's names stand over their bars, and nothing reaches over the edge (11 px of type, about)."""
    plan, narrow = pot_plan(), ElementTree.fromstring(cost_svg(pot_plan(), 320))
    texts = list(narrow.iter(f"{SVG}text"))
    assert {line.what for line in plan.costs if line.amount} <= {text.text for text in texts}
    for text in texts:
        said = "".join(text.itertext())
        assert float(text.get("x")) + 6.2 * len(said) <= 332, said
