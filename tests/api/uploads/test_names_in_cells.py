"""Names that look alike are never taken for each other, whatever a cell holds."""

import pytest

from api.uploads.add_ons import AddOnTexts
from api.uploads.cells import Spoiled
from api.uploads.choices import ColourCells
from api.uploads.known import Known, Names, TierChoices


def test_two_names_that_differ_in_capitals_are_told_apart():
    """Just so, each; in a third spelling neither is guessed."""
    names = Names(["Oat", "oat", "Größe 2"])
    assert [names.find(text) for text in ("Oat", "oat", "OAT", "grosse 2", "grösse-2")] == [
        "Oat", "oat", None, "Größe 2", "Größe 2"]  # fmt: skip


def test_and_may_be_written_out():
    """Alone and among others; not where that is a name of its own."""
    names = Names(["Salt & pepper", "Oat"])
    assert names.find("salt and Pepper") == "Salt & pepper"
    tier = TierChoices("pair", (("pot", frozenset({"Salt & pepper", "Oat"})),) * 2)
    cells = ColourCells(names, Names(["pot"]), Names([]), "")
    assert cells.read(["Salt and pepper, oat"], tier) == ("Salt & pepper", "Oat")
    assert Names(["Salt & pepper", "salt and pepper"]).find("Salt and Pepper") == "salt and pepper"


def test_an_extra_unit_is_told_from_a_piece_with_a_slash_in_its_name():
    """`product/colourway` is cut where a colourway begins."""
    known = Known(
        {"pair": TierChoices("pair", (("Pot/tall", frozenset({"Salt / pepper", "oat"})),))},
        frozenset({"Salt / pepper", "oat"}),
        frozenset({"Pot/tall/oat", "Pot/tall/Salt / pepper", "Box/large"}),
    )
    assert known.unit_of("Pot/tall/oat") == ("Pot/tall", "oat")
    assert known.unit_of("Pot/tall/Salt / pepper") == ("Pot/tall", "Salt / pepper")
    assert known.unit_of("Box/large") is None
    assert known.products == {"Pot/tall"}


def test_a_name_that_a_mark_would_cut_is_asked_about_whole():
    """`Salt & Pepper` where `salt-pepper` is known: one question with the name it may mean, never taken by itself."""
    colours, none = Names(["salt-pepper", "oat"]), Names([])
    cells = ColourCells(colours, Names(["pot"]), none, "")
    tier = TierChoices("pair", (("pot", frozenset({"salt-pepper", "oat"})),) * 2)
    for cell in ("Salt & Pepper", "oat, Salt & Pepper", "Salt and Pepper; oat"):
        with pytest.raises(Spoiled) as spoiled:
            cells.read([cell], tier)
        assert spoiled.value.wording in ("Salt & Pepper", "Salt and Pepper")
        assert spoiled.value.near == "salt-pepper"
    said = ColourCells(Names(["salt-pepper", "oat"], {"Salt & Pepper": "salt-pepper"}), Names(["pot"]), none, "")
    assert said.read(["oat, Salt & Pepper"], tier) == ("oat", "salt-pepper")
    assert cells.read(["oat & oat"], tier) == ("oat", "oat")
    with pytest.raises(Spoiled) as spoiled:
        cells.read(["oat & mauve"], tier)
    assert spoiled.value.wording == "mauve"


ADD_ONS = AddOnTexts(
    Known({}, frozenset({"oat"}), frozenset({"hook", "3 hooks on a card", "strap"})), Names(["oat"]), {}, ""
)


@pytest.mark.parametrize(
    "cell",
    [
        "2 x Hook (+€4)", "2 x Hook (+4 EUR)", "Hook (+ 4,50 €) x2", "Hook [£4 each] x2", "2× Hook (plus US$4)",
        "2 x Hook (+CHF 4.–)", "2 x Hook (+4.00)", "2 x Hook (€1,200.00)", "2 x Hook (+ £1.50 each)",
        "1 x Hook (+€4), 1 x Hook (+€4)", "Hook (+€4) & Hook (+€4)", "2 x Hook + €4",
    ],
)  # fmt: skip
def test_a_price_behind_a_name_is_read_over(cell):
    """As shops write them; the marks in a price part no names."""
    assert ADD_ONS.read(cell) == {"hook": 2}
    with pytest.raises(Spoiled) as spoiled:
        ADD_ONS.read(cell.replace("Hook", "Hawk"))
    assert spoiled.value.wording == "Hawk"


def test_a_number_that_may_belong_to_a_name_is_asked_about_with_it():
    """`3 hawks on a card` may be one card; a price or a times-mark belongs to no name."""
    assert ADD_ONS.read("3 hooks on a card (+€9)") == {"3 hooks on a card": 1}
    for cell, asked in (("3 hawks on a card (+€9)", "3 hawks on a card"), ("Hawk; strap", "Hawk"), ("€4", "€4")):
        with pytest.raises(Spoiled) as spoiled:
            ADD_ONS.read(cell)
        assert spoiled.value.wording == asked


def test_a_price_behind_a_colour_is_read_over():
    """Some colours cost more; a cell of blanks takes no time."""
    tier = TierChoices("pair", (("pot", frozenset({"oat", "kelp"})),) * 2)
    cells = ColourCells(Names(["oat", "kelp"]), Names(["pot"]), Names([]), "")
    assert cells.read(["Oat (+£2), kelp"], tier) == cells.read(["oat (+2,00 €)", "kelp"], tier) == ("oat", "kelp")
    with pytest.raises(Spoiled):
        cells.read(["(" + " " * 1900 + "x"], tier)
