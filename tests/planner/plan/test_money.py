"""Cost lines of work before assembly and of ways, by hand: a bench at 18 an hour, ink at 0.02 a part, a firm, a way."""

from types import SimpleNamespace

from planner.plan.money import bench_seconds, clearing_prices, finishing_lines, ink, stayed_for

PRINTED = SimpleNamespace(at="printer", price=0.02, scrap_share=0.1)
VARNISHED = SimpleNamespace(at="printer", price=0.05, scrap_share=0)
PAINTED = SimpleNamespace(at="painter", price=9.0, scrap_share=0)
JOB = SimpleNamespace(bench="printer", person_minutes=20.0, parts=[SimpleNamespace(part="pot", goes_in=100)])


def campaign(*places: str) -> SimpleNamespace:
    return SimpleNamespace(
        finishing_benches={"printer": SimpleNamespace(rate_per_hour=18)},
        parts={"pot": SimpleNamespace(finishing=[PRINTED, VARNISHED, PAINTED])},
        places=dict.fromkeys(places),
    )


def lot(**prices: float) -> SimpleNamespace:
    return SimpleNamespace(visits=[SimpleNamespace(firm=firm, price=price) for firm, price in prices.items()])


def lines(campaign: SimpleNamespace, jobs: list, lots: list) -> dict[str, float]:
    return {line.what: round(line.amount, 6) for line in finishing_lines(campaign, jobs, lots)}


def test_a_bench_alone_is_paid_by_the_hour_and_for_its_ink() -> None:
    """20 minutes are 6.00; 100 parts at 0.02, of which 90 go on at 0.05, are 6.50."""
    assert lines(campaign(), [JOB], []) == {"finishing labour": 6.0, "finishing by the piece": 6.5}
    assert ink(campaign(), JOB) == 6.5


def test_a_firm_alone_is_paid_by_its_lots() -> None:
    assert lines(campaign(), [], [lot(painter=70.0), lot(painter=30.0)]) == {
        "finishing labour": 0.0, "finishing by the piece": 100.0,
    }  # fmt: skip


def test_a_way_from_another_place_is_carriage_and_no_finishing() -> None:
    assert lines(campaign("hill"), [], [lot(hill=45.0)]) == {"carriage": 45.0}
    assert lines(campaign("hill"), [JOB], [lot(hill=45.0, painter=10.0)]) == {
        "finishing labour": 6.0, "finishing by the piece": 16.5, "carriage": 45.0,
    }  # fmt: skip


def test_nothing_done_has_no_lines() -> None:
    assert finishing_lines(campaign("hill"), [], []) == []


def test_work_takes_whole_seconds() -> None:
    """2.005 minutes are 120.3 seconds, so 121; a hair over two minutes is two minutes."""
    assert bench_seconds(SimpleNamespace(person_minutes=2.005)) == 121
    assert bench_seconds(SimpleNamespace(person_minutes=2 + 1e-12)) == 120


def test_bridges_and_closings_cost_what_their_resins_cost() -> None:
    bought = SimpleNamespace(resins={"pp": SimpleNamespace(price_per_kg=2.0), "pe": SimpleNamespace(price_per_kg=3.0)})
    use = SimpleNamespace(bridge_kg={"pe": 0.5}, closing_kg={"pp": 1.5, "pe": 1.0})
    assert list(clearing_prices(bought, use)) == [1.5, 3.0, 3.0]


def test_who_stays_is_paid_by_the_hour_of_the_press(monkeypatch) -> None:
    monkeypatch.setattr("planner.plan.money.operator_rate", lambda campaign, press: {"big": 24.0}[press])
    use = SimpleNamespace(run=SimpleNamespace(press="big"), operator_seconds=5400)
    assert stayed_for(None, use) == 36.0
