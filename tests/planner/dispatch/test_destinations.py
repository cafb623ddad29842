"""Country codes against two outside tables, and customs facts by destination."""

from importlib.resources import files

import holidays.registry
import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from planner.dispatch.countries import EU_MEMBERS, NAMES, country_code
from planner.dispatch.customs import (
    DeclaredParcel,
    GoodsLine,
    border_between,
    facts_by_destination,
    postal_form,
)


def iso3166_tab() -> dict[str, str]:
    """iso3166.tab of the time zone database (public domain): alpha-2 code and usual English name."""
    text = (files("tzdata") / "zoneinfo" / "iso3166.tab").read_text(encoding="utf-8")
    return dict(line.split("\t") for line in text.splitlines() if not line.startswith("#"))


def test_codes_are_those_of_iso_3166() -> None:
    """The same 249 codes as the time zone database's table, none more, none less."""
    assert set(NAMES) == set(iso3166_tab())


def test_usual_names_find_their_code() -> None:
    """Names of the time zone database lead to its code; abbreviated ones may be unknown, never another."""
    found = {code: country_code(name) for code, name in iso3166_tab().items()}
    wrong = {code: hit for code, hit in found.items() if hit not in (None, code)}
    assert wrong == {}
    unknown = [code for code, hit in found.items() if hit is None]
    assert len(unknown) <= 12, unknown


def test_three_letter_codes() -> None:
    """Against the holidays library's registry: alpha-2 and alpha-3 of over a hundred countries.

    It writes older or sporting codes for six of them (ISO 3166-1 has BHR, BGR, SWZ, GTM, MAR and VUT).
    """
    others = {"BAH", "BLG", "SZW", "GUA", "MOR", "VTU"}
    pairs = [codes[1:3] for codes in holidays.registry.COUNTRIES.values() if len(codes) >= 3]
    assert len(pairs) > 100
    for two, three in pairs:
        if two in NAMES and three not in others:
            assert country_code(three) == two


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("de", "DE"), (" Deutschland ", "DE"), ("UK", "GB"), ("england", "GB"), ("U.S.A.", "US"),
        ("The Netherlands", "NL"), ("côte d’ivoire", "CI"), ("COTE D'IVOIRE", "CI"), ("St. Lucia", "LC"),
        ("Trinidad & Tobago", "TT"), ("Türkiye", "TR"), ("turkey", "TR"), ("Korea, Republic of", "KR"),
        ("Österreich", "AT"), ("Allemagne", "DE"), ("Suomi", "FI"), ("Česko", "CZ"), ("Éire", "IE"), ("Lietuva", "LT"),
        ("Bolivia, Plurinational State of", "BO"), ("Virgin Islands, U.S.", "VI"),
    ],
)  # fmt: skip
def test_spellings_people_write(text: str, code: str) -> None:
    """Case, accents, dots, & and leading articles do not matter."""
    assert country_code(text) == code


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("日本", "JP"), ("Россия", "RU"), ("Ελλάδα", "GR"), ("България", "BG"),
        ("Україна", "UA"), ("대한민국", "KR"), ("한국", "KR"), ("中国", "CN"), ("台灣", "TW"), ("ไทย", "TH"),
        ("ประเทศไทย", "TH"), ("ישראל", "IL"), ("भारत", "IN"), ("الإمارات العربية المتحدة", "AE"), ("Հայաստան", "AM"),
        ("საქართველო", "GE"), ("США", "US"), ("Japan (日本)", "JP"), ("日本/Japan", "JP"), ("DE - Germany", "DE"),
        ("GB United Kingdom", "GB"), ("🇩🇪", "DE"), ("🇩🇪 Deutschland", "DE"), ("Schweiz/Suisse/Svizzera", "CH"),
        ("Norway - Germany", None), ("JP Germany", None), ("Korea (Japan)", None),
    ],
)  # fmt: skip
def test_other_letters_flags_and_several_names(text: str, code: str | None) -> None:
    """As the people of a country write it, and as shops write it twice; what says two countries is none."""
    assert country_code(text) == code


@pytest.mark.parametrize(
    "language", ["el", "ru", "uk", "bg", "ar", "he", "hi", "th", "ja", "ko", "zh", "zh_Hant", "tr", "de", "fr"]
)
def test_no_name_of_a_language_is_another_country(language: str) -> None:
    """Of the Unicode CLDR's names, the usual first: few are taken by two countries, and none leads astray."""
    names = {code: name for code, name in Locale.parse(language).territories.items() if code in NAMES}
    found = {code: country_code(name) for code, name in names.items()}
    assert {code: hit for code, hit in found.items() if hit not in (None, code)} == {}
    assert sum(hit is None for hit in found.values()) <= 6


@pytest.mark.parametrize("text", ["", " ", "Atlantis", "XX", "EU", "QQQ", "DDR", "Korea", "G", "Germny"])
def test_unsure_names_are_not_guessed(text: str) -> None:
    """Nothing is guessed: no near match, no half of Korea."""
    assert country_code(text) is None


@given(st.text())
def test_any_text_has_an_answer(text: str) -> None:
    """Whatever stands in the cell: a code of the table or None."""
    assert country_code(text) in {None, *NAMES}


def test_borders() -> None:
    """Inside one country and inside the EU none; else one; made-up codes are refused."""
    assert len(EU_MEMBERS) == 27
    assert not border_between("DE", "FR")
    assert not border_between("GB", "GB")
    assert border_between("DE", "GB")
    assert border_between("DE", "CH")
    assert border_between("FR", "RE")
    with pytest.raises(ValueError, match="'XX'"):
        border_between("DE", "XX")


def test_postal_forms() -> None:
    """Universal Postal Convention: CN 22 up to 300 SDR and 2 kg, CN 23 above either."""
    rate = 1.25
    assert postal_form(300 * rate, 2.0, rate) == "CN 22"
    assert postal_form(300 * rate + 0.01, 1.0, rate) == "CN 23"
    assert postal_form(10, 2.01, rate) == "CN 23"


def test_facts_add_up_by_destination() -> None:
    """Every parcel in one row; sums equal the parcels'; what a declaration lacks is listed once."""
    pot = GoodsLine("planter", 2, 58.0, 1.2, commodity="392490", origin="DE")
    sleeve = GoodsLine("felt sleeve", 1, 9.0, 0.1)
    parcels = [
        DeclaredParcel("US", 1.6, (pot,)),
        DeclaredParcel("US", 2.4, (pot, sleeve)),
        DeclaredParcel("FR", 1.6, (pot, sleeve)),
    ]
    france, states = facts_by_destination(parcels, "DE", sdr_rate=1.2)
    assert (france.destination, france.crosses, france.forms, france.missing) == ("FR", False, {}, ())
    assert (states.parcels, states.value, states.gross_kg) == (2, 125.0, pytest.approx(4.0))
    assert (states.dearest, states.heaviest_kg, states.name) == (67.0, 2.4, "United States")
    assert states.forms == {"CN 22": 1, "CN 23": 1}
    assert states.missing == ("commodity code of felt sleeve", "country of origin of felt sleeve")
    assert sum(f.value for f in (france, states)) == sum(p.value for p in parcels)
