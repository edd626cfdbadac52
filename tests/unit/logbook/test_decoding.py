"""Encodings are told by their marks and never lossily."""

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import LogbookError
from pipeline.logbook.decoding import UNREADABLE, decode, readable

TEXT = "batch_id,notes\nA1,mûre sauvage – 1½ kg\n"


@pytest.mark.parametrize(
    ("data", "label"),
    [
        (TEXT.encode(), "UTF-8"),
        (codecs.BOM_UTF8 + TEXT.encode(), "UTF-8 with a byte order mark"),
        (TEXT.encode("utf-16"), "UTF-16"),
        (codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), "UTF-16"),
        (TEXT.encode("utf-16-le"), "UTF-16 without a mark"),
        (TEXT.encode("utf-16-be"), "UTF-16 without a mark"),
        (TEXT.encode("utf-32"), "UTF-32"),
        (TEXT.encode("cp1252"), "Windows-1252"),
    ],
)
def test_the_same_text_in_every_encoding(data: bytes, label: str) -> None:
    decoded = decode(data, "notes.csv")
    assert (decoded.text, decoded.label) == (TEXT, label)
    assert decoded.is_guessed == (label == "Windows-1252")
    assert decoded.mark + decoded.text.encode(decoded.codec) == data


def test_utf8_with_one_stray_byte_stays_utf8() -> None:
    decoded = decode("mûre, pêche, cassis é\nm\udcfbre\n".encode("utf-8", "surrogateescape"), "x")
    assert decoded.label == "UTF-8"
    lines = decoded.text.split("\n")
    assert lines[0] == "mûre, pêche, cassis é"
    assert UNREADABLE.search(lines[1])
    assert readable(lines[1]) == r"m\xfbre"


def test_a_byte_that_cp1252_lacks_is_kept_visible() -> None:
    decoded = decode(b"m\xfbre\nx\x9dy\n", "x")
    assert decoded.label == "Windows-1252"
    assert decoded.text.split("\n")[0] == "mûre"
    assert readable(decoded.text.split("\n")[1]) == r"x\x9dy"


def test_half_a_letter_at_the_end_of_utf16() -> None:
    decoded = decode(TEXT.encode("utf-16")[:-1], "x")
    assert decoded.text.startswith("batch_id,notes\nA1,mûre")
    assert UNREADABLE.search(decoded.text)


@pytest.mark.parametrize("data", [b"PK\x03\x04\x00\x00\x00\x08", b"\x89PNG\r\n\x1a\n\x00\x00\x00"])
def test_what_is_no_text(data: bytes) -> None:
    with pytest.raises(LogbookError, match=r"notes.csv is not a text file .* Save it as CSV"):
        decode(data, "notes.csv")


@given(st.binary(max_size=200))
def test_any_bytes_decode_or_are_refused(data: bytes) -> None:
    try:
        decoded = decode(data, "x")
    except LogbookError:
        return
    readable(decoded.text).encode("utf-8")


@given(st.text(alphabet=st.characters(codec="cp1252", exclude_characters="\r"), max_size=50))
def test_nothing_is_replaced(text: str) -> None:
    assert "\ufffd" not in decode(text.encode("cp1252"), "x").text if "\x00" not in text else True
