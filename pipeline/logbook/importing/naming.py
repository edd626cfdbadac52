"""Names and amounts of what went in, where one cell holds both or the name leaves a doubt."""

import re
from typing import NamedTuple

from pipeline.logbook.importing.ingredients import Ingredient, counts_pieces, identify
from pipeline.logbook.importing.outcome import Outcome, held, loaded
from pipeline.logbook.importing.quantities import Facts, read_amount
from pipeline.logbook.importing.remarks import is_nothing, nothing
from pipeline.logbook.importing.vocabulary import plain
from pipeline.logbook.numerals import tidy

_PARTS = re.compile(r" ?(?:[;&]|, |\+| and ) ?")
_BARE_COUNT = re.compile(r"~?[0-9½¼]+(?: ?1/2)?")
_AMOUNT_WORDS = 12  # more than any amount has: a cell of a hundred pages is not tried at each word
_NO_NAME = re.compile(
    r"(?:less|minus|plus|with|and|incl|after|before|some|or|a|the|up|neck|cup|per)\b"
)
_PACKETS = re.compile(r"(?:packet|pkt|pack|sachet)s?$", re.IGNORECASE)
_TABLETS = re.compile(r"(?:tablet|tab)s?$", re.IGNORECASE)


_STEP_WORDS = {
    "strain": "strained strain pressed press abgepresst gepresst abgeseiht pressé filtered",
    "rack": "racked rack racking re-racked abgezogen abstich soutiré soutirage travaso trasiego",
    "bottle": "bottled bottle bottling abgefüllt abfüllung embouteillé embotellado imbottigliato",
    "chill": "chilled cold-crashed",
}
_STEPS = {plain(word): step for step, words in _STEP_WORDS.items() for word in words.split()}


class NamedAmount(NamedTuple):
    """An amount and the name that stands in the same cell."""

    amount: str
    name: str


def step_of(text: str) -> str | None:
    """Return the step that an entry such as `racked` names, if it names one."""
    return _STEPS.get(plain(text))


def part_amount_and_name(text: str, facts: Facts) -> list[NamedAmount]:
    """Part `3 lb elderberry` or `2 kg sloes, 200 g raisins`; nothing if it is not that.

    Every part must have both, else the cell stays whole.
    """
    parts = [part for part in _PARTS.split(tidy(text)) if part]
    found = [_one(part, facts) for part in parts]
    whole = [one for one in found if one is not None]
    if len(whole) == len(parts):
        return whole
    single = _one(tidy(text), facts)
    return [single] if single else []


def _one(text: str, facts: Facts) -> NamedAmount | None:
    words = text.split()
    for count in range(min(len(words) - 1, _AMOUNT_WORDS), 0, -1):
        amount, name = " ".join(words[:count]), " ".join(words[count:]).removeprefix("of ")
        if not name[:1].isalpha() or _NO_NAME.match(name.lower()):
            continue
        found = read_amount(amount, "amount", "", facts)
        if found.fate == "loaded" or found.rule == "which-gallon":
            return NamedAmount(amount, name)
    return None


def read_ingredient(written: str, answer: str, kind: str = "") -> tuple[Outcome, Ingredient]:
    """Say what a name stands for, by the maker's answer if there is one.

    Parameters
    ----------
    written : str
        The name as typed.
    answer : str
        The name the mapping file gives for it, or nothing.
    kind : str
        The kind its column is about, if it is about one.
    """
    if is_nothing(written):
        return nothing(tidy(written)), Ingredient(kind, "")
    found = identify(answer or written)
    if answer and not found.kind:
        found = Ingredient(kind or "other", tidy(answer).lower())
    if found.is_open and kind == "fruit" and found.kind in ("", "fruit"):
        # A fruit that the tables do not know keeps its name; the logbook's check says so.
        rule = "a fruit the tables do not know, kept as written"
        return loaded(tidy(written), rule), Ingredient("fruit", tidy(written).lower())
    if found.is_open:
        outcome = held("which-substance", f"'{tidy(written)}': {found.reason}", found.readings)
        return outcome, found
    rule = f"the mapping file says {found.name}" if answer else found.rule
    return loaded(found.name, rule), found._replace(kind=kind or found.kind)


def open_name(written: str) -> str:
    """Return the name to write where only the maker knows the substance.

    It must not be one of the reference table's names, or the logbook would settle it silently.
    """
    return f"{tidy(written).lower()} (which one is not known)"


def with_pieces(amount: str, name: str, outcome: Outcome) -> Outcome:
    """Count `1` of a `sulphite tab` as one tablet, whose weight is not known."""
    piece = counts_pieces(name)
    if piece is None or outcome.rule != "no-unit" or not _BARE_COUNT.fullmatch(tidy(amount)):
        return outcome
    return _unweighed(f"{tidy(amount)} {piece}", f"{tidy(amount)} {piece}")


def without_weight(outcome: Outcome, kind: str) -> Outcome:
    """Hold a packet or tablet whose weight matters; that of a packet of yeast does not."""
    if outcome.fate != "loaded" or kind == "yeast":
        return outcome
    if _PACKETS.search(outcome.text) or _TABLETS.search(outcome.text):
        return _unweighed(outcome.text, outcome.text)
    return outcome


def _unweighed(said: str, text: str) -> Outcome:
    if _TABLETS.search(text):
        reason = (
            f"'{said}' of a weight not given: sulphite tablets weigh 0.44 or 0.55 g (common "
            "practice, no source), of the potassium or the sodium salt"
        )
        return held("no-weight", reason, ("0.44 g", "0.55 g"), text)
    return held("no-weight", f"'{said}' of a weight and make-up not given: see the label", (), text)
