"""Money found by simulating is written no finer than it is known."""

from collections.abc import Iterator

import pytest

from api.languages import reading
from api.languages.reading import Reader
from api.languages.wording import THIN, estimated_money


@pytest.fixture(autouse=True)
def _nobody_afterwards() -> Iterator[None]:
    yield
    reading.begin(reading.NOBODY)


@pytest.mark.parametrize(
    ("amount", "reach", "written"),
    [
        (542.67, 363.86, "540"),
        (363.86, 363.86, "360"),
        (36_289.12, 1_240.0, "36 300"),
        (18.4, 12.0, "18"),
        (-3.0, 363.86, "0"),
        (542.67, 4.2, "542.67"),
        (542.67, 0.0, "542.67"),
    ],
)
def test_two_figures_of_how_far_off_it_may_be_are_kept(amount, reach, written):
    """Worked by hand: £542.67 that may be £363.86 off is some £540; what is known to the pound keeps its pence."""
    assert estimated_money(amount, reach, "GBP") == written.replace(" ", THIN) + THIN + "GBP"


def test_a_reader_has_it_as_the_currency_is_written_there():
    """Without pence where pence mean nothing."""
    reading.begin(Reader("en", "en_GB"))
    assert estimated_money(36_289.12, 1_240.0, "GBP") == "£36,300"
    reading.begin(Reader("de", "de"))
    assert estimated_money(-542.67, 363.86, "EUR").replace("\xa0", " ") == "−540 €"
