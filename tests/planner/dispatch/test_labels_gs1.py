"""GS1 check digits against examples that GS1 offices publish, and what the scheme promises to catch."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.dispatch.labels import check_digit, is_valid, sscc


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        ("6291041500213", "GTIN-13"),  # worked example of GS1's check digit page
        ("8904000210037", "GTIN-13"),  # worked example of GS1 India: 7 completes 890400021003
        ("376104250021234569", "SSCC"),  # GS1's check digit page, recalled from memory
    ],
)
def test_published_numbers(number: str, kind: str) -> None:
    """Each published number is valid as it stands and invalid with any other last digit."""
    assert is_valid(number, kind)
    assert sum(is_valid(number[:-1] + digit, kind) for digit in "0123456789") == 1


@given(st.from_regex(r"[0-9]{17}", fullmatch=True), st.integers(0, 17), st.integers(1, 9))
def test_every_single_wrong_digit_is_caught(body: str, place: int, shift: int) -> None:
    """Weights 3 and 1 are coprime to 10, so no single misread digit keeps the number valid."""
    number = body + check_digit(body)
    wrong = number[:place] + str((int(number[place]) + shift) % 10) + number[place + 1 :]
    assert is_valid(number, "SSCC")
    assert not is_valid(wrong, "SSCC")


def test_sscc_is_built_from_its_parts() -> None:
    """Extension, prefix and serial stand where GS1 puts them; the published code comes out."""
    assert sscc("7610425", 2123456, extension=3) == "376104250021234569"
    assert len(sscc("1234567", 1)) == 18


def test_refusals() -> None:
    """Letters, a full serial and a wrong prefix are refused."""
    with pytest.raises(ValueError, match="string of digits"):
        check_digit("12a")
    with pytest.raises(ValueError, match="9 digits"):
        sscc("1234567", 10**9)
    with pytest.raises(ValueError, match="4 to 12"):
        sscc("123", 1)
    with pytest.raises(ValueError, match="0 to 9"):
        sscc("1234567", 1, extension=10)
    assert not is_valid("6291041500213", "SSCC")
    assert not is_valid("٦٢٩١٠٤١٥٠٠٢١٣", "GTIN-13")
