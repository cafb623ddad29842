"""What a run's sheet says of heat and drying."""

import pytest

from api.paper.content import Drying, MeltDraw
from api.paper.run_sheet import _heat


def drying(hours: float, degrees: tuple[float, float] | None = None, usual: tuple[float, float] | None = None) -> str:
    """The words in the column for drying."""
    said = Drying(hours=hours, degrees_c=degrees, usual_hours=usual)
    melt = MeltDraw(
        barrel=1, resin="pa", colour="ink", shot_g=20, melt_kg=5, masterbatch_kg=0.1, let_down_percent=2, drying=said
    )
    return _heat(melt)[4]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (drying(4, (80, 80)), "4.0 h at 80 °C"),
        (drying(3.5, (75, 85)), "3.5 h at 75 to 85 °C"),
        (drying(4), "4.0 h at unknown: ask the supplier"),
        (drying(0, usual=(2, 4)), "not asked for; usual: 2.0 to 4.0 h"),
        (drying(0, usual=(3, 3)), "not asked for; usual: 3.0 h"),
        (drying(0), "none"),
    ],
)
def test_drying_is_one_figure_or_from_one_to_another(said: str, words: str) -> None:
    """What the campaign does not ask for is said as usual, what nobody knows as unknown."""
    assert said == words
