"""Words in number cells: nothing, ditto, doubt, and remarks beside a number."""

import re
from typing import NamedTuple

from pipeline.logbook.importing.outcome import Outcome, held, rejected
from pipeline.logbook.importing.vocabulary import plain

_NOTHING_WORDS = """
- -- --- – — n/a na n.a. none nil ? ?? ??? unknown nan null keine kein unbekannt inconnu k.a. tbd
missing forgot
"""
_NOTHING = frozenset(_NOTHING_WORDS.split()) | {
    *("not measured", "no reading", "not taken", "nicht gemessen", "lost count", "no idea", "x"),
}
_ELSEWHERE = re.compile(r"(?:see|siehe|voir|vgl|cf)\b.*", re.IGNORECASE)
_DITTO = frozenset({'"', "''", "``", "”", "“", "〃", ",,", '""', "do", "do."}) | {
    *("ditto", "same", "as above", "as before", "idem", "id", "dito", "same as above"),
    *("unchanged", "no change", "unverändert", "pareil", "gleich", "wie oben"),
}
_BRACKETS = re.compile(r"^(?P<before>.*?[0-9½¼¾%a-zA-Z.°]) ?[(\[](?P<inside>[^()\[\]]+)[)\]]$")
_COUNTRY = re.compile(r"us|usa|imp|imperial|uk|british|american", re.IGNORECASE)
_SIZELESS_WORDS = """
pinch dash handful handfuls bag bags bucket buckets jar jars demijohn demijohns glug splash bit some
few lots punnet punnets basket carton bottle bottles prise handvoll eimer korb flasche pincee
poignee seau gallon gallons gal cup cups pint pints spoon spoonful
"""
_SIZELESS = frozenset(_SIZELESS_WORDS.split())
_QUALIFIERS = (
    r"less|minus|plus|with|and|incl|including|without|after|before|inc|ohne|mit|plus|but|or so|"
    r"from|sans|avec|not"
)
_NUMBER_THEN_WORDS = re.compile(
    rf"(?P<number>[~]?[0-9.½¼¾/ ]*[0-9½¼¾])(?P<unit> ?[a-zA-Z%°/]{{1,6}})?,? "
    rf"(?P<words>(?:{_QUALIFIERS})\b.*)",
    re.IGNORECASE,
)


class Parted(NamedTuple):
    """A cell without its remark in brackets and its question mark."""

    text: str
    note: str = ""
    is_doubted: bool = False


def is_nothing(text: str) -> bool:
    """Return whether a cell says that there is nothing to say."""
    return text.strip().lower() in _NOTHING or _ELSEWHERE.fullmatch(text.strip()) is not None


def nothing(text: str) -> Outcome:
    """Reject a cell that says nothing: missing, not zero."""
    return rejected("nothing", f"'{text}' says that there is no value; it counts as missing")


def is_ditto(text: str) -> bool:
    """Return whether a cell points at the one above or before it."""
    return text.strip().lower() in _DITTO


def part_remark(text: str) -> Parted:
    """Take a remark in brackets and a doubting question mark off a cell.

    Examples
    --------
    >>> part_remark("2 (some mouldy)"), part_remark("1.09?").is_doubted
    (Parted(text='2', note='some mouldy', is_doubted=False), True)
    """
    note = ""
    match = _BRACKETS.match(text)
    if match and not _COUNTRY.fullmatch(match["inside"].strip()):
        text, note = match["before"].strip(), match["inside"].strip()
    is_doubted = text.endswith("?") and any(letter.isdigit() for letter in text)
    return Parted(text.rstrip("? ") if is_doubted else text, note, is_doubted)


def part_words(text: str) -> Parted | None:
    """Return a number and the words that qualify it, as in `4.0 less a cup`; the number is rough.

    Examples
    --------
    >>> part_words("4.0 less a cup")
    Parted(text='~4.0', note='less a cup', is_doubted=True)
    """
    if (match := _NUMBER_THEN_WORDS.fullmatch(text)) is None:
        return None
    number = f"{match['number'].lstrip('~').strip()}{match['unit'] or ''}"
    return Parted(f"~{number}", match["words"], is_doubted=True)


def only_words(text: str) -> Outcome:
    """Say what becomes of a cell without a number that can be read."""
    words = plain(text).split()
    if any(word in _SIZELESS for word in words):
        return held("no-size", f"'{text}' names a measure and not how much it holds")
    return rejected("words", f"'{text}' is no number; it counts as missing")
