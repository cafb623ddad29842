"""Names that look alike are never taken for each other, whatever a cell holds."""

from api.uploads.known import Known, Names, TierChoices


def test_two_names_that_differ_in_capitals_are_told_apart():
    """Just so, each; in a third spelling neither is guessed."""
    names = Names(["Oat", "oat", "Größe 2"])
    assert [names.find(text) for text in ("Oat", "oat", "OAT", "grosse 2", "grösse-2")] == [
        "Oat", "oat", None, "Größe 2", "Größe 2"]  # fmt: skip


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
