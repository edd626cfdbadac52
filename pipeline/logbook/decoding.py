"""Bytes to text, once and without loss: UTF-8, UTF-16 or Windows-1252, told by their own marks.

Nothing is ever replaced: a byte that the encoding does not have stays in the text as a lone
surrogate (`surrogateescape`), so that only its own line is set aside.
"""

import codecs
import re
from typing import NamedTuple

from pipeline.errors import LogbookError

_MARKS: tuple[tuple[bytes, str, str], ...] = (
    # The UTF-32 marks begin like the UTF-16 ones and must be tried first.
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF8, "utf-8", "UTF-8 with a byte order mark"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)
_UTF8_LETTER = re.compile(
    rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}"
)
_HIGH_BYTE = re.compile(rb"[\x80-\xff]")
DAMAGED = "\ufffd"  # the sign that programs put where they lost a letter
UNREADABLE = re.compile("[\ud800-\udfff]")
_ESCAPED = re.compile("[\udc80-\udcff]")


class Decoded(NamedTuple):
    """A text and how it was encoded.

    `mark` is the byte order mark to write before it again; `is_guessed` says that no mark and no
    rule of the encoding proves it, `is_whole` that every byte could be read.
    """

    text: str
    codec: str
    label: str
    mark: bytes = b""
    is_guessed: bool = False
    is_whole: bool = True


def decode(data: bytes, name: str) -> Decoded:
    """Decode a file.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        Its name, for the sentence if it is no text at all.

    Raises
    ------
    LogbookError
        If the bytes are those of a workbook, a picture or the like.
    """
    for mark, codec, label in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], codec, label, mark)
    if b"\x00" in data:
        return _without_mark(data, name)
    try:
        return Decoded(data.decode("utf-8"), "utf-8", "UTF-8")
    except UnicodeDecodeError:
        return _not_utf8(data)


def _decoded(data: bytes, codec: str, label: str, mark: bytes = b"") -> Decoded:
    """Decode without loss; bytes that cannot be read become signs for "unreadable"."""
    try:
        return Decoded(data.decode(codec), codec, label, mark)
    except UnicodeDecodeError:
        # Only UTF-8 has an escape for single bytes; in UTF-16 half a letter may be left over.
        errors = "surrogateescape" if codec == "utf-8" else "hedgerow_unreadable"
        return Decoded(data.decode(codec, errors=errors), codec, label, mark, is_whole=False)


def _keep_as_unreadable(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeDecodeError):
        raise error
    return "".join(
        chr(0xDC00 + byte) for byte in error.object[error.start : error.end] if byte > 127
    ) or ("\udcff"), error.end


codecs.register_error("hedgerow_unreadable", _keep_as_unreadable)


def _without_mark(data: bytes, name: str) -> Decoded:
    """Tell UTF-16 without a mark by its zero bytes: every second one, for western text."""
    half = len(data) / 2
    for codec, first in (("utf-16-le", 1), ("utf-16-be", 0)):
        if data[first::2].count(0) > 0.7 * half and data[1 - first :: 2].count(0) == 0:
            return _decoded(data, codec, "UTF-16 without a mark")
    raise LogbookError(
        f"{name} is not a text file (it holds zero bytes). Save it as CSV from the program it "
        "comes from, or put the workbook itself into the folder as .xlsx."
    )


def _not_utf8(data: bytes) -> Decoded:
    """Choose between Windows-1252 and UTF-8 with a few broken bytes.

    Reading UTF-8 as Windows-1252 would turn every `û` into `Ã»` without a word, so a file that
    holds more whole UTF-8 letters than stray bytes is UTF-8, and the lines with strays are set
    aside.
    """
    letters = _UTF8_LETTER.findall(data)
    strays = len(_HIGH_BYTE.findall(data)) - sum(map(len, letters))
    if len(letters) > strays:
        return _decoded(data, "utf-8", "UTF-8")
    return _decoded(data, "cp1252", "Windows-1252")._replace(is_guessed=True)


def readable(text: str) -> str:
    r"""Return a text with unreadable bytes written out, such as `\x9d`, so that it can be shown."""
    shown = _ESCAPED.sub(lambda found: f"\\x{ord(found[0]) - 0xDC00:02x}", text)
    return UNREADABLE.sub(lambda found: f"\\u{ord(found[0]):04x}", shown)
