"""What makers call things: headings in several languages, and the units inside them.

The words themselves stand in `headings.csv`, one line per meaning.
"""

import csv
import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import NamedTuple

from rapidfuzz import process
from rapidfuzz.distance import OSA

from pipeline.logbook.importing.foreign import acid_basis, in_contract_words
from pipeline.logbook.units import Unit, find_unit

_SHORTEST_MISSPELT = 5  # [letters] shorter words are near everything
_LONG = 10  # [letters] from here two slips of the finger still leave a word known
_BRACKETS = re.compile(r"^(?P<name>.*?)\s*[(\[](?P<inside>[^)\]]*)[)\]]\s*(?P<rest>.*)$", re.S)
_FILLER_WORDS = """
added amount amounts weight quantity qty total used of the in per batch for kg # menge gewicht
zugabe gesamt poids quantite de des du la le ajoute peso cantidad anadido quantita di hoeveelheid
totaal ilosc mangd
"""
_FILLERS = frozenset(_FILLER_WORDS.split())
_WORD_BREAK = re.compile(r"[\s_.:;,/\\-]+")
OECHSLE = "°Oe"


class Name(NamedTuple):
    """A heading taken apart: what it means, the unit it says, the acid it is expressed as."""

    concept: str | None
    unit: str = ""
    basis: str = ""
    words: str = ""


def plain(text: str) -> str:
    """Return a text for comparing: lower case, no accents, single blanks for every separator.

    Examples
    --------
    >>> plain("Noté_le"), plain("pH-Wert")
    ('note le', 'ph wert')
    """
    bare = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(letter for letter in bare if not unicodedata.combining(letter))
    return _WORD_BREAK.sub(" ", letters).strip()


def package_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one of this package's tables."""
    text = Path(__file__).with_name(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def _spellings() -> dict[str, str]:
    return {
        plain(spelling): row["concept"]
        for row in package_rows("headings.csv")
        for spelling in row["spellings"].split("|")
    }


@lru_cache(maxsize=4096)
def concept_of(text: str) -> str | None:
    """Return what a heading without its unit means, or None.

    Examples
    --------
    >>> concept_of("Zucker"), concept_of("sugar added"), concept_of("temprature")
    ('sugar', 'sugar', 'must_temperature')
    """
    words = plain(text)
    known = _spellings()
    if words in known:
        return known[words]
    short = " ".join(word for word in words.split() if word not in _FILLERS)
    if short in known:
        return known[short]
    return _misspelt(words)


@cache
def _long_spellings() -> list[str]:
    return [name for name in _spellings() if len(name) >= _SHORTEST_MISSPELT]


def _misspelt(words: str) -> str | None:
    if len(words) < _SHORTEST_MISSPELT or any(letter.isdigit() for letter in words):
        return None
    slips = 2 if len(words) >= _LONG else 1
    best = process.extractOne(words, _long_spellings(), scorer=OSA.distance, score_cutoff=slips)
    return _spellings()[best[0]] if best else None


@lru_cache(maxsize=4096)
def read_name(heading: str) -> Name:
    """Take a heading apart: `Frucht kg`, `sugar_g`, `TA (g/L as tartaric)`, `kg of fruit`.

    Examples
    --------
    >>> read_name("sugar_g").concept, read_name("sugar_g").unit
    ('sugar', 'g')
    """
    text = " ".join(heading.split())
    if (whole := _spellings().get(plain(text))) is not None:
        return Name(whole, _own_unit(text), words=text)
    for words, inside in _splits(text):
        unit, basis = heading_unit(inside), acid_basis(inside) or ""
        if unit or basis:
            return Name(concept_of(words), unit, basis, words)
    return Name(concept_of(text), words=text)


def _splits(text: str) -> list[tuple[str, str]]:
    """Return the ways to part a heading into words and what may be a unit."""
    splits = []
    if (match := _BRACKETS.match(text)) is not None and match["name"]:
        splits.append((f"{match['name']} {match['rest']}".strip(), match["inside"]))
    words = [word for word in re.split(r"[\s_,:]+", text) if word]
    for count in (1, 2):
        if len(words) > count:
            splits.append((" ".join(words[:-count]), " ".join(words[-count:])))
            splits.append((" ".join(words[count:]), " ".join(words[:count])))
    return splits


def heading_unit(text: str) -> str:
    """Return the unit a heading says, as the contract writes it, or nothing."""
    words = in_contract_words(text).removeprefix("in ").strip()
    if plain(words) in ("oe", "°oe", "oechsle", "ochsle"):
        return OECHSLE
    unit = find_unit(words)
    if unit is None and (first := words.split()[:1]) and acid_basis(text):
        unit = find_unit(first[0])
    return "" if unit is None else _unit_name(unit, words)


def _unit_name(unit: Unit, words: str) -> str:
    """Return a unit's name, with the gallon's country where the heading says it."""
    known = find_unit(unit.name)
    if known is None or known == unit:
        return unit.name
    country = "us" if re.search(r"\bus|american", words.lower()) else "imp"
    return f"{country} {unit.name}"


def _own_unit(text: str) -> str:
    """Return the unit of headings that are units themselves, such as `Brix` and `Oechsle`."""
    words = plain(text).split()
    if any(word in ("brix", "bx", "°bx") for word in words):
        return "Bx"
    if any(word in ("oechsle", "ochsle", "°oe", "mostgewicht") for word in words):
        return OECHSLE
    return ""
