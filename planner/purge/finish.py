"""Finishes of a moulded surface: how each changes the purge sum, and what to warn of.

Every figure and caution here is common practice without a published source: ask the masterbatch supplier.
"""

from dataclasses import dataclass
from typing import Literal, get_args

Finish = Literal["solid", "metallic", "pearlescent", "translucent", "natural"]
FINISHES: tuple[Finish, ...] = get_args(Finish)

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class FinishEffect:
    """How a finish enters the sum.

    strength: share of a solid colour's weight that a kilogram of this melt has in a mixture. A clear or
        natural melt scatters little, so the same trace of an old colour shows more in it.
    speck: factor on the tolerance when this finish is the old one and the new one has another: flakes show
        as specks at traces too small to shift the colour.
    caution: what the maker should know beforehand, "" for none.
    clear: looked through, so that traces show along the whole thickness. flakes: seen one by one.
    """

    strength: float
    speck: float
    caution: str = ""
    clear: bool = False
    flakes: bool = False


EFFECTS: dict[Finish, FinishEffect] = {
    "solid": FinishEffect(1.0, 1.0),
    "metallic": FinishEffect(
        1.0,
        0.5,
        "metallic flakes show flow and weld lines; left-over flakes show as specks in the next colour",
        flakes=True,
    ),
    "pearlescent": FinishEffect(
        0.6,
        0.5,
        "pearl can turn a white yellowish and shows flow lines; left-over pearl shows as a sheen",
        flakes=True,
    ),
    "translucent": FinishEffect(
        0.3, 1.0, "a translucent part shows traces of an old colour through its whole thickness", clear=True
    ),
    "natural": FinishEffect(0.15, 1.0, "natural melt shows the smallest trace of an old colour", clear=True),
}

# Above this CIELAB lightness and below this chroma a colour counts as a pure white.
WHITE_LIGHTNESS = 92.0
WHITE_CHROMA = 5.0
WHITE_ELASTOMER = "pure white elastomer picks up marks and yellows with light and handling"


def is_white(lab: tuple[float, float, float]) -> bool:
    """Whether a CIELAB colour (L* 0-100, a*, b*) counts as a pure white."""
    lightness, a, b = lab
    return lightness >= WHITE_LIGHTNESS and (a * a + b * b) ** 0.5 <= WHITE_CHROMA


STRONG = 1.5
"""From this strength on (an average masterbatch is 1) a pigment is worth a word of its own."""
STRONG_PIGMENT = (
    "a strong pigment shows in the next colour long after it seems gone: run it last, or before a darker one"
)


def finish_cautions(
    finish: Finish, lab: tuple[float, float, float], elastomer: bool = False, strength: float = 1.0
) -> list[str]:
    """Return the cautions for one colour, each marked as common practice without a source."""
    texts = [EFFECTS[finish].caution] if EFFECTS[finish].caution else []
    if strength >= STRONG:
        texts.append(STRONG_PIGMENT)
    if elastomer and is_white(lab):
        texts.append(WHITE_ELASTOMER)
    return [f"{text} ({COMMON_PRACTICE})" for text in texts]
