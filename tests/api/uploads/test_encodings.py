"""Which encoding a file is in, from its bytes: the marks of RFC 3629 (UTF-8) and RFC 2781 (UTF-16), and what tells the
Windows code page 1252 from ISO 8859-1 (bytes 80 to 9F hex are letters and marks there, control characters here)."""

import io

import pytest

from api.uploads.encodings import Encoding, find_encoding, readable
from api.uploads.limits import UnreadableFile

KEPT = "surrogateescape"


def found(data: bytes, chosen: str | None = None) -> Encoding:
    file = io.BytesIO(data)
    encoding = find_encoding(file, chosen)
    assert file.tell() == 0 or chosen
    return encoding


def test_a_mark_says_it_and_nothing_needs_saying() -> None:
    for codec, mark in (("utf-8-sig", b"\xef\xbb\xbf"), ("utf-16", b"\xff\xfe"), ("utf-16", b"\xfe\xff")):
        one = found(mark + b"a,b\n")
        assert (one.codec, one.why) == (codec, "")
    with pytest.raises(UnreadableFile, match="UTF-32"):
        found(b"\x00\x00\xfe\xff" + b"\x00\x00\x00a")


def test_sixteen_bits_without_a_mark_are_known_by_their_zeros() -> None:
    """A table of Latin letters has a zero in every other byte; more than four in ten are enough, as where one word in
    two is in another script, and fewer are not."""
    assert found("order,country\n".encode("utf-16-le")).codec == "utf-16-le"
    assert found("order,country\n".encode("utf-16-be")).codec == "utf-16-be"
    half = "ab\u0431\u0432\n"  # 3 of 5 high bytes are zeros
    assert found((half * 20).encode("utf-16-le")).codec == "utf-16-le"
    assert found((half * 20).encode("utf-16-be")).codec == "utf-16-be"
    few = "a\u0431\u0432\u0433\n"  # 2 of 5 are just not more than four in ten
    for codec in ("utf-16-le", "utf-16-be"):
        with pytest.raises(UnreadableFile, match="not a text table"):
            found((few * 20).encode(codec))


def test_zeros_in_both_halves_are_no_text() -> None:
    with pytest.raises(UnreadableFile, match="not a text table"):
        found(b"\x00" * 200)


def test_a_control_character_in_twenty_is_still_text() -> None:
    """Exactly five in a hundred pass, six do not."""
    assert found(b"\x01" * 5 + b"a" * 95).codec == "utf-8"
    with pytest.raises(UnreadableFile, match="not a text table"):
        found(b"\x01" * 6 + b"a" * 94)


def test_more_whole_characters_than_stray_bytes_are_utf_8_with_strays() -> None:
    """As many are enough; the report counts the strays."""
    one = found("ü".encode() + b"a\xfcb")
    assert (one.codec, one.errors) == ("utf-8", KEPT)
    assert one.why.startswith("UTF-8, but 1 bytes are not")
    assert found("ü".encode() + b"a\xfcb\xe4c").codec == "latin-1"
    assert found("ü".encode() + b"a\x92b\xe4c").codec == "cp1252"
    assert found(b"plain") == Encoding("utf-8", KEPT, "")
    assert found("größer".encode()) == Encoding("utf-8", KEPT, "")


def test_a_character_cut_in_two_by_a_piece_is_one() -> None:
    """Files are looked at 65,536 bytes at a time: characters of two to four bytes across each such border."""
    for sign in ("ü", "€", "\U0001f331"):
        for before in range((1 << 16) - 6, (1 << 16) + 1):
            one = found(b"a" * before + sign.encode() * 3 + b"b")
            assert one.why == "", (sign, before)
    stray = found(b"a" * ((1 << 16) - 1) + b"\xfc" + b"b")
    assert stray.codec == "latin-1"


def test_the_makers_choice_goes_first() -> None:
    """Whatever the bytes say; stray bytes of UTF-8 are kept apart, of others shown as such."""
    assert found("ü".encode(), "cp1252") == Encoding("cp1252", "replace", "chosen by the maker")
    assert found(b"\xfc", "utf-8").errors == KEPT
    with pytest.raises(UnreadableFile, match="utf-7") as refused:
        found(b"a", "utf-7")
    assert "cp1252, latin-1, utf-16" in refused.value.remedy


def test_what_was_no_character_can_be_shown() -> None:
    assert readable(b"Stra\xdfe".decode("utf-8", KEPT)) == "Stra\ufffde"
    assert readable("Straße") == "Straße"
