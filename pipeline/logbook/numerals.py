"""Numbers as makers write them: 3, 0.5, .5, 1/2, 1 1/2, 1½ and ½.

A decimal comma is read only in a logbook that says so; then a decimal point is refused, because
in such a logbook `1.360` may be a little over one or more than a thousand.
"""

import re
from typing import Literal

Decimal = Literal[".", ","]

VULGAR_FRACTIONS: dict[str, tuple[int, int]] = {
    "½": (1, 2),
    "⅓": (1, 3),
    "⅔": (2, 3),
    "¼": (1, 4),
    "¾": (3, 4),
    "⅕": (1, 5),
    "⅖": (2, 5),
    "⅗": (3, 5),
    "⅘": (4, 5),
    "⅙": (1, 6),
    "⅚": (5, 6),
    "⅐": (1, 7),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
    "⅑": (1, 9),
    "⅒": (1, 10),
}
_VULGAR = "[" + "".join(VULGAR_FRACTIONS) + "]"
# [0-9], not \d: other scripts' digits are never typed on purpose in a logbook. Twelve digits are
# more than any cellar holds, and keep a run of nines from becoming infinity.
_DIGITS = "[0-9]{1,12}"
# Spreadsheets hand on what they reckoned to the last bit: 1.0812000000000002 is an honest 1.0812.
_DECIMALS = "[0-9]{1,20}"
_PATTERNS: dict[str, str] = {
    point: (
        rf"(?:(?P<whole>{_DIGITS}) (?P<over>{_DIGITS})/(?P<under>{_DIGITS})"
        rf"|(?P<top>{_DIGITS})/(?P<bottom>{_DIGITS})"
        rf"|(?P<before>{_DIGITS})? ?(?P<vulgar>{_VULGAR})"
        rf"|(?P<plain>{_DIGITS}{mark}{_DECIMALS}|{mark}{_DECIMALS}|{_DIGITS}))"
    )
    for point, mark in ((".", r"\."), (",", ","))
}
NUMBER: dict[str, re.Pattern[str]] = {
    point: re.compile(pattern) for point, pattern in _PATTERNS.items()
}
# Every kind of blank that spreadsheets and word processors put between a number and its unit.
_BLANKS = re.compile(r"[\s\u00a0\u2000-\u200b\u202f\u205f\u3000\ufeff]+")


def tidy(text: str) -> str:
    """Return a text without outer blanks, inner blanks made single, fraction slash made plain.

    Unicode compatibility forms are left alone on purpose: they would turn `1½` into `11/2`.
    """
    return _BLANKS.sub(" ", text).strip().replace("\u2044", "/").replace("\u2212", "-")


def number_value(match: re.Match[str]) -> float | None:
    """Return the value of a match of `NUMBER`; None for `1/0` or `1 3/2`, which mean nothing."""
    part = match.groupdict()
    if part["plain"] is not None:
        return float(part["plain"].replace(",", "."))
    if part["vulgar"] is not None:
        over, under = VULGAR_FRACTIONS[part["vulgar"]]
        return int(part["before"] or 0) + over / under
    whole = int(part["whole"] or 0)
    over, under = int(part["over"] or part["top"]), int(part["under"] or part["bottom"])
    if under == 0 or (part["whole"] is not None and over >= under):
        return None
    return whole + over / under


def read_number(text: str, decimal: Decimal = ".") -> float | None:
    """Return the value of a bare number, or None if the text is anything else.

    Parameters
    ----------
    text : str
        A tidy text.
    decimal : {".", ","}
        The logbook's decimal mark.
    """
    sign = -1.0 if text.startswith("-") else 1.0
    match = NUMBER[decimal].fullmatch(text.removeprefix("-"))
    value = number_value(match) if match else None
    return None if value is None else sign * value
