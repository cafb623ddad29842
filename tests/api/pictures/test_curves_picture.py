"""Operating characteristics as a picture: where the curves and circles lie, against scipy's binomial."""

import re
from xml.etree import ElementTree

import pytest
from scipy.stats import binom

from api.pictures.curves import curves_svg
from planner.control import Unhurried
from planner.planning.make import make_plan
from tests.api.plan_fixtures import publish
from tests.support.carton_campaign import campaign
from tests.support.pot_plan import pot_plan

SVG = "{http://www.w3.org/2000/svg}"
DEFECTS = {"looks": {"aql": 1.0}, "leaks": {"aql": 0.25}, "scratches": {"aql": 4.0, "level": "III"}}


def test_curves_and_circles_are_where_the_binomial_puts_them(app):
    """Each point drawn, scaled back by the panel's own axes; lots accepted 95, 50 and 10 times in 100 are marked."""
    bowls = campaign(parts__bowl__inspection__defects=DEFECTS)
    plan = make_plan(bowls, Unhurried())
    picture = app.client.get(f"/v1/plans/{publish(app.service, bowls, plan)}/pictures/curves.svg")
    assert picture.headers["content-type"] == "image/svg+xml"
    width = float(ElementTree.fromstring(picture.text).get("viewBox", "").split()[2])
    groups = list(ElementTree.fromstring(picture.text).iter(f"{SVG}g"))
    assert len(groups) == len(plan.curves) >= 3
    for curve, group in zip(plan.curves, groups, strict=True):
        texts = [text.text or "" for text in group.iter(f"{SVG}text")]
        assert texts[0] == f"{curve.n} pieces, at most {curve.accept} bad"
        assert any(f"bowl {defect}" in texts[1] for defect in DEFECTS)
        floor = next(line for line in group.iter(f"{SVG}line") if line.get("stroke-width") == "1.2")
        left, right, foot = (float(floor.get(name, "")) for name in ("x1", "x2", "y1"))
        assert 0 <= left < right <= width, "the whole panel can be seen"
        most = float(texts[-1].split("\u202f")[0]) / 100
        points = re.findall(r"([\d.]+),([\d.]+)", next(iter(group.iter(f"{SVG}path"))).get("d", ""))
        tall = foot - float(points[0][1])
        for x, y in points:
            share = (float(x) - left) / (right - left) * most
            assert (foot - float(y)) / tall == pytest.approx(binom.cdf(curve.accept, curve.n, share), abs=0.02)
        circles = [(float(c.get("cx", "")), float(c.get("cy", ""))) for c in group.iter(f"{SVG}circle")]
        for (x, y), chance in zip(circles, (0.95, 0.5, 0.1), strict=True):
            share = (x - left) / (right - left) * most
            assert binom.cdf(curve.accept, curve.n, share) == pytest.approx(chance, abs=0.02)
            assert (foot - y) / tall == pytest.approx(chance, abs=0.01)


def test_a_plan_without_samples_says_so():
    """No empty picture."""
    assert "No part is inspected by sample" in curves_svg(pot_plan())
