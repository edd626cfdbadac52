"""What a thing that went in is: its kind, and its name as the reference tables know it.

Names that may be two things (metabisulphite of potassium or of sodium, `acid`) are not settled
here: they are asked for.
"""

import re
from functools import cache, lru_cache
from typing import NamedTuple

from rapidfuzz import fuzz, process

from pipeline.logbook.importing.vocabulary import package_rows
from pipeline.reference import fruit_of, plain_name, powder_names

_CLOSE = 84  # [0–100] similarity from which a name is offered as a likely reading
_MANY = 3
_LONGEST_NAME = 3  # [words] of a fruit
_SALTS = ("potassium metabisulphite", "sodium metabisulphite")
_OPEN_READINGS: dict[str, tuple[str, ...]] = {
    "sulphite": _SALTS,
    "acid": ("tartaric acid", "citric acid", "malic acid", "acid blend"),
    "fining": ("bentonite", "gelatine"),
    "fruit": ("plum", "prune"),
    "": ("potassium sorbate", *_SALTS),
}
_OPEN_REASONS = {
    "sulphite": "the potassium and the sodium salt give 57.6 and 67.4 % sulphur dioxide, and "
    "nothing says which this is",
    "acid": "acids differ in strength by a sixth, and nothing says which this is",
    "fining": "nothing says which fining this is",
    "fruit": "the name means two fruits",
    "": "this may be sorbate, a sulphite or both together, and the label decides",
}
_PIECES = ("tablet", "tab", "packet", "sachet", "pkt")


class Ingredient(NamedTuple):
    """A thing that went in; `name` is empty and `readings` are given where it may be several."""

    kind: str
    name: str
    rule: str = ""
    reason: str = ""
    readings: tuple[str, ...] = ()

    @property
    def is_open(self) -> bool:
        """Whether nobody but the maker can say what it is."""
        return bool(self.reason)


@cache
def _other_languages() -> dict[str, tuple[str, str, str]]:
    return {
        plain_name(spelling): (row["kind"], row["name"], row["language"])
        for row in package_rows("ingredients.csv")
        for spelling in row["spellings"].split("|")
    }


@cache
def _kinds() -> dict[str, str]:
    return dict(powder_names().select("name", "kind").iter_rows())


@lru_cache(maxsize=4096)
def identify(written: str) -> Ingredient:
    """Say what a name stands for.

    Examples
    --------
    >>> identify("Blackberries").kind, identify("Schlehe").name, identify("stabiliser").is_open
    ('fruit', 'sloe', True)
    """
    name = plain_name(written)
    other = _other_languages().get(name)
    if other is not None:
        return _translated(name, *other)
    if fruit_of(name) is not None:
        return Ingredient("fruit", name)
    if (kind := _kinds().get(name)) is not None:
        return Ingredient(kind, name)
    if name.endswith(" juice") and fruit_of(name.removesuffix(" juice")) is not None:
        return Ingredient("juice", name)
    return _unknown(name)


def fruit_named_in(text: str) -> str:
    """Return the one fruit that a batch's name speaks of, as in `Plum 1`, or nothing.

    Examples
    --------
    >>> fruit_named_in("Sour cherry 2023 II"), fruit_named_in("plum and apple")
    ('sour cherry', '')
    """
    words = re.findall(r"[^\W\d_]+", text)
    named: list[str] = []
    at = 0
    while at < len(words):
        count, name = _longest_fruit(words[at:])
        named += [name] if name else []
        at += count
    return named[0] if len(set(named)) == 1 else ""


def _longest_fruit(words: list[str]) -> tuple[int, str]:
    """Return how many of the first words name a fruit, as many as can, and which."""
    for count in range(min(len(words), _LONGEST_NAME), 0, -1):
        found = identify(" ".join(words[:count]))
        if found.kind == "fruit" and not found.is_open:
            return count, found.name
    return 1, ""


def _translated(written: str, kind: str, name: str, language: str) -> Ingredient:
    if not name:
        return Ingredient(kind, "", "", _OPEN_REASONS[kind], _OPEN_READINGS[kind])
    if language == "English":
        return Ingredient(kind, written)
    return Ingredient(kind, name, f"{language} for {name}")


def _unknown(name: str) -> Ingredient:
    close = process.extract(name, _known_names(), scorer=fuzz.ratio, score_cutoff=_CLOSE)
    readings = tuple(dict.fromkeys(found[0] for found in close))[:_MANY]
    return Ingredient("", "", "", "this name is in none of the tables", readings)


@cache
def _known_names() -> list[str]:
    from pipeline.reference import fruit_names

    return [*fruit_names()["name"], *_kinds()]


def counts_pieces(written: str) -> str | None:
    """Return the piece that a name counts, as in `sulphite tab`: tablet or packet."""
    words = plain_name(written).split()
    for word in words:
        if word.rstrip("s") in _PIECES:
            return "tablet" if word.startswith("tab") else "packet"
    return None
