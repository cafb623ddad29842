"""The closed vocabulary of resin families: many spellings, one family; what is not understood is known to nobody."""

import pytest

from planner.audit import resin_heat
from planner.audit.resin_reading import read_resin
from planner.campaign import Campaign
from planner.campaign.families import FAMILIES
from planner.campaign.family_words import VOCABULARY, said_by
from planner.campaign.forbidden import why_forbidden
from planner.campaign.heat import heat_of, may_be_left, must_be_cleared
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import family_of, nature
from tests.planner.reading.spoiling import REMOVED, problems

POM = {"family": "POM", "lead_days": 3}


def named(text: str) -> list[str]:
    """The families a text is wholly understood to name."""
    said = said_by(text)
    return [family.abbreviation for family in said.families] if said.whole else []


@pytest.mark.parametrize(
    ("text", "abbreviation"),
    [
        ("acetal", "POM"), ("Acetals", "POM"), ("POLYACETAL", "POM"), ("POM-C", "POM"), ("pom h", "POM"),
        ("ＰＯＭ", "POM"), ("P.O.M.", "POM"), ("Polyoxyméthylène", "POM"), ("poly(oxymethylene)", "POM"),
        ("acetal co-polymer GF25", "POM"), ("vinyl", "PVC"), ("poly(vinyl chloride)", "PVC"), ("P V C", "PVC"),
        ("uPVC", "PVC-U"), ("PVC-U", "PVC-U"), ("rigid vinyl", "PVC-U"), ("plasticised PVC", "PVC-P"),
        ("CPVC", "PVC-C"), ("PVC/ABS", "PVC+ABS"), ("PE-HD", "PE-HD"), ("high-density polyethylene", "PE-HD"),
        ("PC/ABS", "PC+ABS"), ("nylon 6/6", "PA66"), ("PA 6", "PA6"), ("PA66-GF30", "PA66"), ("TPE 60A", "TPE"),
        ("PP talc-filled 20%", "PP"), ("pp2", "PP"), ("High Impact Polystyrene", "PS-HI"), ("Hart-PVC", "PVC"),
        ("PVC weich", "PVC"), ("pom-schwarz", "POM"), ("Azetal", "POM"), ("Polyäthylen", "PE"),
        ("PP-Regenerat, weiß", "PP"), ("PA66 GF30 HS BK", "PA66"), ("rPP", "PP"), ("TPE-S", "TPS"),
    ],
)  # fmt: skip
def test_spellings_of_a_family(text: str, abbreviation: str) -> None:
    """ISO 1043-1 abbreviations and the trade's common words, in any case, width, punctuation and number."""
    assert named(text) == [abbreviation]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "other",
        "РОМ",
        "P0M",
        "acetel",
        "our usual",
        "mixed",
        "PP or so",
        "?",
        "v1nyl",
        "PA46",
        "PA 612",
        "nylon MXD6",
    ],
)
def test_what_is_not_understood_is_known_to_nobody(text: str) -> None:
    """Misspelt, Cyrillic, vague or empty: it may be acetal, and it may be PVC, for planner and auditor alike."""
    what = nature("stuff", Resin(family=text))
    assert what.doubt
    assert (what.acetal, what.halogenated, what.family) == (True, True, None)
    assert read_resin("stuff", Resin(family=text)) == (True, True, True)


FORMS = (
    "{}", "{} 2", "{}s", "{}-GF30", "{} GF30", "{}20", "rigid {}", "{} copolymer", "{}/ABS", "{} FR", "{} V-0",
    "{} FR(17)", "foo {}", "{}x", "(black) {}",
)  # fmt: skip


@pytest.mark.parametrize("word", sorted({*VOCABULARY, *(family.abbreviation for family in FAMILIES)}))
def test_the_auditor_reads_alike(word: str) -> None:
    """The auditor's own vocabulary is neither laxer nor stricter than the planner's."""
    for form in FORMS:
        for text in (form.format(word), form.format(word.upper())):
            what = nature("stuff", Resin(family=text))
            assert read_resin("stuff", Resin(family=text)) == (what.acetal, what.halogenated, what.unsure), text


@pytest.mark.parametrize(
    "text", ["PVC souple", "Weichmacher PVC", "vinyl mix no. 3", "chlorinated stuff", "PVC/ABS blend X"]
)
def test_a_word_of_pvc_among_others_is_taken_for_pvc(text: str) -> None:
    """What else it is nobody knows: it stands no more than soft PVC (190), is cleared, and gives off HCl."""
    resin = Resin(family=text)
    assert family_of("stuff", resin) is None
    assert heat_of("stuff", resin).survives == heat_of("stuff", Resin(family=text, survives_c=240)).survives == 190
    assert must_be_cleared("stuff", resin)
    assert not may_be_left("stuff", Resin(family=text, stands_cold=True))
    made = Campaign.model_construct(resins={"stuff": resin, "said": Resin(family=text, stands_cold=True)})
    assert resin_heat.heat(made, "stuff").stands == 190
    assert resin_heat.must_go(made, "stuff")
    assert resin_heat.must_go(made, "said")


@pytest.mark.parametrize("text", ["POM or so", "acetal mix", "resina poliacetal acetal"])
def test_a_word_of_acetal_among_others_is_cleared_as_acetal(text: str) -> None:
    made = Campaign.model_construct(resins={"stuff": Resin(family=text)})
    assert heat_of("stuff", made.resins["stuff"]).survives == resin_heat.heat(made, "stuff").stands == 230
    assert must_be_cleared("stuff", made.resins["stuff"])
    assert resin_heat.must_go(made, "stuff")


def test_the_id_speaks_where_the_family_is_left_out() -> None:
    """`pp-black` without a family is PP; `body` is unknown; `acetal` is acetal."""
    assert [family.abbreviation for name in ("pp-black", "acetal") if (family := family_of(name, Resin()))] == [
        "PP", "POM",
    ]  # fmt: skip
    assert nature("body", Resin()).doubt


@pytest.mark.parametrize(
    ("name", "family"), [("acetal", "PP"), ("blackpom", "PP"), ("pvc-2", "ABS"), ("pp", "POM"), ("abs", "PE")]
)
def test_id_and_family_that_contradict_each_other_are_refused(name: str, family: str) -> None:
    """Whatever else is in the campaign: somebody has to say which of the two it is."""
    found = problems(
        {f"resins {name}": {"family": family, "lead_days": 3}, "parts cup barrels 0 resin": name,
         "parts plug barrels 0 resin": name}
    )  # fmt: skip
    assert [(p.pointer, bool(p.remedy)) for p in found if "contradicts itself" in p.message] == [
        (f"/resins/{name}/family", True)
    ]


@pytest.mark.parametrize("family", ["", "other", "house blend", REMOVED])
def test_an_unknown_resin_is_asked_about_where_it_could_meet_acetal(family: object) -> None:
    """Two presses fit the unknown one and one of them fits the acetal: that is enough to ask."""
    changes = {
        "resins pom": POM, "resins body": {"lead_days": 3} | ({} if family is REMOVED else {"family": family}),
        "parts shell barrels 0 resin": "pom", "parts cup barrels 0 resin": "body", "parts plug barrels 0 resin": "body",
        "presses twin barrels 0 holds": REMOVED, "presses twin barrels 0 clean": True,
    }  # fmt: skip
    found = problems(changes)
    assert [p.pointer for p in found if "nobody knows" in p.message] == ["/resins/body/family"]
    assert "neither_acetal_nor_halogenated" in next(p.remedy for p in found if p.pointer == "/resins/body/family")
    vouched = changes | {"resins body neither_acetal_nor_halogenated": True}
    assert not [p for p in problems(vouched) if p.pointer.startswith("/resins/body")]


def test_a_flame_retardant_grade_beside_acetal_is_asked_about() -> None:
    """`ABS V-0` beside acetal: whether its flame retardant is halogenated must be said."""
    changes = {
        "resins pom": POM, "resins abs": {"family": "ABS V-0", "lead_days": 3}, "parts shell barrels 0 resin": "pom",
        "parts cup barrels 0 resin": "abs", "parts plug barrels 0 resin": "abs",
        "presses twin barrels 0 holds": REMOVED, "presses twin barrels 0 clean": True,
    }  # fmt: skip
    asked = "/resins/abs/halogenated_flame_retardant"
    assert asked in [p.pointer for p in problems(changes)]
    assert asked not in [p.pointer for p in problems(changes | {"resins abs halogenated_flame_retardant": False})]


@pytest.mark.parametrize("family", ["EVA", "ethylene-vinyl acetate", "PVDF", "FEP", "PTFE", "POM + PTFE"])
def test_what_gives_off_acids_or_holds_fluorine_stays_out_of_acetals_barrel(family: str) -> None:
    """Nobody has said that it is safe beside acetal, whichever of the two comes first; beside PP nothing is asked."""
    pom, other = Resin(family="POM"), Resin(family=family)
    made = Campaign.model_construct(
        resins={"pom": pom, "x": other, "pp": Resin(family="PP")}, forbidden_pairs=[], purging=None
    )
    apart = [why_forbidden(made, *pair) is not None for pair in (("pom", "x"), ("x", "pom"), ("pp", "x"))]
    assert apart == [True, True, False]


def test_every_row_is_sound() -> None:
    """Figures with a source, ranges the right way round, what survives is above what is usual."""
    for family in FAMILIES:
        low, high = family.melt_c or (0, 0)
        assert low <= high, family
        assert bool(family.melt_c) == bool(family.melt_source), family
        assert bool(family.survives_c) == bool(family.survives_source), family
        assert high <= (family.survives_c or high), family
        if family.drying is not None:
            fewest, most = family.drying.hours
            assert family.must_dry, family
            assert fewest <= most, family
            assert family.drying.source


APART = {
    "resins pom": POM, "resins pvc": {"family": "PVC", "lead_days": 3}, "parts shell barrels 0 resin": "pom",
    "presses twin barrels 0 holds": REMOVED, "presses twin barrels 0 clean": True,
}  # fmt: skip


def test_what_a_barrel_has_held_is_never_forgotten() -> None:
    """PVC, something else, then acetal: the purge in between does not make it safe; both at once stops everything."""
    found = problems(APART | {"presses twin barrels 0 has_held": ["pvc"]})
    assert [p.pointer for p in found] == ["/presses/twin/barrels/0/has_held"]
    assert "has held `pvc`" in found[0].message
    both = problems(APART | {"presses solo barrels 0 has_held": ["pvc", "pom"]})
    assert [p.pointer for p in both] == ["/presses/solo/barrels/0/has_held"]
    assert "stripped and cleaned" in both[0].remedy


def test_a_compound_goes_into_acetal_only_where_it_is_said_to_be_fit() -> None:
    """`resins` left out means all of them elsewhere, not beside acetal; a compound named after PVC never."""
    compound = {"price_per_kg": 5, "lead_days": 2}
    assert [p.pointer for p in problems(APART | {"purging compound": compound})] == ["/purging/compound/resins"]
    assert problems(APART | {"purging compound": compound | {"resins": ["pom", "pp", "tpe"]}}) == []
    assert problems(APART | {"purging compound": compound | {"use": "never"}}) == []
    named = compound | {"resins": ["pp", "pom"], "name": "pvc-flush"}
    assert [p.pointer for p in problems(APART | {"purging compound": named})] == ["/purging/compound/resins/1"]


def test_a_masterbatch_that_speaks_of_pvc_stays_out_of_acetal() -> None:
    """By its id only: the carrier of a masterbatch is a resin, and nobody says which."""
    grey = {"hex": "#888888", "lead_days": 3}
    changes = APART | {
        "colours vinyl-grey": grey, "products planter colourways cream shell": ["vinyl-grey", "slate"],
    }  # fmt: skip
    assert [p.pointer for p in problems(changes)] == ["/colours/vinyl-grey"]


def test_acetal_goes_only_where_it_is_said_what_was_there_before() -> None:
    """A barrel or a hot runner of which nothing is said may have held PVC: it is asked, with the ways to answer."""
    unsaid = APART | {"presses twin barrels 0 clean": False}
    assert [p.pointer for p in problems(unsaid)] == ["/presses/twin/barrels/0/holds"]
    trials = APART | {"tools shell hot_runner_clean": False}
    assert [p.pointer for p in problems(trials)] == ["/tools/shell/hot_runner_has_held"]
    assert problems(trials | {"tools shell hot_runner_has_held": ["pp"]}) == []
    held = problems(trials | {"tools shell hot_runner_has_held": ["pvc"]})
    assert [p.pointer for p in held] == ["/tools/shell/hot_runner_has_held"]
    assert "POM and PVC decompose violently" in held[0].message


def test_an_unknown_resin_in_a_barrel_of_which_nothing_is_said() -> None:
    """Either may be acetal and the other PVC: first say what the resin is."""
    changes = {
        "resins body": {"lead_days": 3},
        "parts cup barrels 0 resin": "body",
        "parts plug barrels 0 resin": "body",
    }
    assert problems(changes) == []
    assert [p.pointer for p in problems(changes | {"presses solo barrels 0 clean": False})] == ["/resins/body/family"]
