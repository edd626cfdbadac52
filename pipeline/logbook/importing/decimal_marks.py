"""The decimal mark of old notes: what the sheet proves, and which cells stay open.

A mark with one, two, four or more digits after it can only be decimal. With exactly three it may
part off thousands, and is decimal only where the rest of the sheet says so.
"""

import re
from collections.abc import Iterable
from typing import NamedTuple

_NUMBER = re.compile(r"(?<![0-9.,])[0-9]*(?:[.,][0-9]+)+(?![0-9.,]*[0-9])")
_ONE_MARK = re.compile(r"(?P<whole>[0-9]*)(?P<mark>[.,])(?P<after>[0-9]+)")
_THOUSANDS_THEN_DECIMAL = re.compile(r"[0-9]{1,3}(?:(?P<t>[.,])[0-9]{3})+(?P<d>[.,])[0-9]+")
_ONLY_THOUSANDS = re.compile(r"[0-9]{1,3}(?:([.,])[0-9]{3})(?:\1[0-9]{3})+")
_DATE = re.compile(r"[0-9]{1,2}\.[0-9]{1,2}\.(?:[0-9]{2,4})?")
_SHOWN = 3
MIXED = "mixed"


class Marks(NamedTuple):
    """Which decimal mark the cells of a sheet prove: `.`, `,`, `mixed`, or nothing."""

    proven: str
    evidence: tuple[str, ...]


class Settled(NamedTuple):
    """A text with decimal points only; or, where a mark stays open, what it may be.

    `is_number` is false for texts such as `1.0.15`.
    """

    text: str
    rule: str = ""
    readings: tuple[str, ...] = ()
    is_number: bool = True


def find_marks(cells: Iterable[tuple[int, str]]) -> Marks:
    """Find the decimal mark that the number cells of a sheet prove."""
    proofs: dict[str, list[str]] = {".": [], ",": []}
    for line, text in cells:
        if _DATE.fullmatch(text.strip()):
            continue
        for found in _NUMBER.findall(text):
            match = _ONE_MARK.fullmatch(found)
            if match and _is_surely_decimal(match):
                proofs[match["mark"]].append(f"'{text.strip()}' in line {line}")
    proven = [mark for mark, found in proofs.items() if found]
    name = {".": "a decimal point", ",": "a decimal comma"}
    evidence = tuple(
        f"{found} proves {name[mark]}" for mark in proven for found in proofs[mark][:_SHOWN]
    )
    return Marks(MIXED if len(proven) == 2 else "".join(proven), evidence)


def _is_surely_decimal(match: re.Match[str]) -> bool:
    return len(match["after"]) != 3 or match["whole"] in ("", "0") or len(match["whole"]) > 3


def settle_marks(text: str, decimal: str, *, is_gravity: bool = False) -> Settled:
    """Return a cell with decimal points only, or what it may be.

    Parameters
    ----------
    text : str
        The cell, tidy.
    decimal : {".", ",", "mixed", ""}
        What the sheet proves or the maker has said.
    is_gravity : bool
        In gravities a thousand and a unit mean the same: `1,048` is 1.048 either way.

    Examples
    --------
    >>> settle_marks("1,25 kg", ",").text, settle_marks("1.360", ",").readings
    ('1.25 kg', ('1.36', '1360'))
    """
    rules: list[str] = []
    readings: list[str] = []
    settled = text
    for found in _NUMBER.findall(text):
        one = _settle_number(found, decimal, is_gravity=is_gravity)
        if not one.is_number:
            return Settled(text, is_number=False)
        if one.readings and not readings:
            readings = [settled.replace(found, reading, 1) for reading in one.readings]
        if one.rule:
            rules.append(one.rule)
        settled = settled.replace(found, one.text, 1)
    return Settled(settled, "; ".join(dict.fromkeys(rules)), tuple(readings))


def _settle_number(found: str, decimal: str, *, is_gravity: bool) -> Settled:
    match = _ONE_MARK.fullmatch(found)
    if match is None:
        return _several_marks(found)
    point = f"{match['whole']}.{match['after']}"
    if is_gravity or _is_surely_decimal(match):
        return Settled(point, _mark_rule(match, decimal))
    if match["mark"] == (decimal or "."):
        return Settled(point)
    return Settled(point, readings=(_surely_decimal(point), match["whole"] + match["after"]))


def _surely_decimal(number: str) -> str:
    """Write a number so that nobody asks again whether its point parts off thousands."""
    short = number.rstrip("0").rstrip(".")
    return f"{short}0" if len(short.partition(".")[2]) == 3 else short


def _mark_rule(match: re.Match[str], decimal: str) -> str:
    if match["mark"] == "." or decimal == ",":
        return ""
    if len(match["after"]) == 3 and match["whole"] not in ("", "0"):
        return "a comma read as the decimal mark; as thousands it would mean the same"
    return "a comma read as the decimal mark, since it cannot part off thousands"


def _several_marks(found: str) -> Settled:
    both = _THOUSANDS_THEN_DECIMAL.fullmatch(found)
    if both and both["t"] != both["d"]:
        text = found.replace(both["t"], "").replace(both["d"], ".")
        return Settled(text, f"'{both['t']}' parts off thousands, '{both['d']}' is decimal")
    if only := _ONLY_THOUSANDS.fullmatch(found):
        return Settled(found.replace(only[1], ""), f"'{only[1]}' parts off thousands")
    return Settled(found, is_number=False)
