"""Quantity cells of old notes, put into the contract's form with every change named."""

import re
from dataclasses import dataclass
from datetime import date

from pipeline.logbook.contract import CellKind
from pipeline.logbook.dates import DateOrder
from pipeline.logbook.importing.decimal_marks import settle_marks
from pipeline.logbook.importing.foreign import in_contract_words
from pipeline.logbook.importing.outcome import Outcome, held, loaded, rejected
from pipeline.logbook.importing.quantity_rules import QUANTITY_RULES
from pipeline.logbook.importing.remarks import (
    is_ditto,
    is_nothing,
    nothing,
    only_words,
    part_remark,
    part_words,
)
from pipeline.logbook.numerals import NUMBER, tidy
from pipeline.logbook.quantity import Expects, Quantity, read_quantity
from pipeline.logbook.quantity_cells import expectation
from pipeline.logbook.units import UNIT_NAMES, find_unit

_GALLON_FAMILY = ("gal", "qt", "pt", "cup", "floz")
_GALLON_WORD = re.compile(
    r"(?<![a-z])(?<!us )(?<!imp )("
    + "|".join(
        sorted(
            (re.escape(word) for word, name in UNIT_NAMES.items() if name in _GALLON_FAMILY),
            key=len,
            reverse=True,
        )
    )
    + r")(?![a-z])(?! ?\((?:us|imp|uk))",
    re.IGNORECASE,
)
_COUNTRY = {"us": "us", "imperial": "imp"}
_DAY_NUMBER = re.compile(r"[345][0-9]{4}")  # the years 1982 to 2064, as days since 1899
_MORE_THAN_A_HOUSEHOLD = 300  # [kg or L] in one batch; common practice, no source


@dataclass(frozen=True)
class Facts:
    """What is known of a sheet, of the row a cell stands in, and of the logbook it goes to."""

    today: date
    order: DateOrder | None = None
    decimal: str = "."
    gallon: str = ""
    ta_as: str = ""
    score_out_of: str = ""
    logbook_scale: str = ""


def read_amount(raw: str, kind: CellKind, unit: str, facts: Facts) -> Outcome:
    """Read a quantity cell.

    Parameters
    ----------
    raw : str
        The cell as typed, not blank.
    kind : str
        What the contract's column holds.
    unit : str
        The unit its heading says.
    facts : Facts
        The sheet's decimal mark and gallon.
    """
    text = tidy(raw)
    if is_nothing(text):
        return nothing(text)
    if is_ditto(text):
        return held("ditto", "a ditto mark is not copied as a number", ())
    if _DAY_NUMBER.fullmatch(text):
        return rejected(
            "day-number",
            f"'{text}' is how spreadsheets store a date: a fraction was probably turned into one",
        )
    return _read(text, kind, unit, facts)


def _read(text: str, kind: CellKind, unit: str, facts: Facts) -> Outcome:
    remark = part_remark(text)
    words = in_contract_words(remark.text)
    settled = settle_marks(words, facts.decimal)
    expects = expectation(kind, find_unit(unit) if unit else None, may_be_mark=kind == "amount")
    if not settled.is_number:
        return rejected("not-a-number", f"'{text}' is no number, and its marks are not moved")
    if settled.readings:
        return _either(text, [_with_unit(one, unit) for one in settled.readings], expects)
    body = f"~{settled.text.lstrip('~ ')}" if remark.is_doubted else settled.text
    outcome = _understood(body, kind, unit, expects, facts)
    rules = [settled.rule, "marked ? and so read as rough" if remark.is_doubted else ""]
    return _with_rules(outcome, rules, remark.note)


def _either(text: str, readings: list[str], expects: Expects) -> Outcome:
    """Hold a number whose mark may be decimal or part off thousands."""
    large = read_quantity(readings[-1], expects)
    is_too_much = isinstance(large, Quantity) and large.us > _MORE_THAN_A_HOUSEHOLD
    likely = f", though {readings[-1]} is more than any household makes" if is_too_much else ""
    return held(
        "decimal-mark",
        f"'{text}' may have a decimal mark or thousands parted off; this sheet writes the other "
        f"mark{likely}",
        readings,
    )


def _with_rules(outcome: Outcome, rules: list[str], note: str) -> Outcome:
    if outcome.fate != "loaded":
        return outcome
    said = [rule for rule in (*rules, outcome.rule) if rule]
    notes = "; ".join(part for part in (outcome.note, note) if part)
    return outcome._replace(rule="; ".join(said), note=notes)


def _understood(text: str, kind: CellKind, unit: str, expects: Expects, facts: Facts) -> Outcome:
    found = read_quantity(text, expects)
    if isinstance(found, Quantity):
        return _sized(text, found, unit, facts)
    for rule in QUANTITY_RULES:
        if (outcome := rule(text, kind, expects, found)) is not None:
            return outcome
    if (parted := part_words(text)) is not None:
        inner = _understood(parted.text, kind, unit, expects, facts)
        return _with_rules(inner, [f"'{parted.note}' kept in the notes"], parted.note)
    if not any(letter.isdigit() or letter in "½¼¾⅓⅔⅛" for letter in text):
        return only_words(text)
    return held(
        found.rule, found.message, [found.hint] if found.rule == "unit" and found.hint else []
    )


def _sized(text: str, found: Quantity, unit: str, facts: Facts) -> Outcome:
    if found.us == 0 and found.dimension in ("mass", "volume", "count"):
        return held("zero", "0 may mean none, or not known", ("none", "not known"))
    rule = _own_unit_rule(text, unit)
    written = _with_unit(text, unit)
    if found.us == found.imperial:
        return loaded(written, rule)
    if facts.gallon in _COUNTRY:
        country = _COUNTRY[facts.gallon]
        said = f"the gallon is {'the US one' if country == 'us' else 'imperial'}"
        return loaded(
            _of_country(written, country), "; ".join(part for part in (rule, said) if part)
        )
    return held(
        "which-gallon",
        "gallons, quarts, pints and cups are US or imperial, which differ by a fifth, and nothing "
        "says which",
        [_of_country(written, country) for country in ("us", "imp")],
    )


def _of_country(text: str, country: str) -> str:
    return _GALLON_WORD.sub(rf"{country} \1", text)


def _with_unit(text: str, unit: str) -> str:
    """Return a cell with the heading's unit where it has none of its own."""
    return f"{text} {unit}" if unit and _is_bare(text) else text


def _is_bare(text: str) -> bool:
    number = text.removeprefix("to ").lstrip("~≈- ")
    return NUMBER["."].fullmatch(number) is not None


def _own_unit_rule(text: str, unit: str) -> str:
    """Say that a cell's own unit counts, where the heading says another."""
    heading = find_unit(unit) if unit else None
    if heading is None or _is_bare(text):
        return ""
    said = re.sub(r"[^a-zA-Z°/% ]", "", text).strip()
    if find_unit(said) == heading:
        return ""
    return f"the cell says {said}, the heading {unit}: the cell counts"
