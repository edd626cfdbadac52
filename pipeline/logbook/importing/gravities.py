"""Gravity cells of old notes: `1.092`, `1075`, `998`, `.996`, `1,048`, `22`, `stuck 1.018`.

A specific gravity is told by its bounds. What only fits another scale is held: it is not converted
until somebody says that it was Brix.
"""

import re

from pipeline.enology.gravity import gravity_from_brix
from pipeline.logbook.importing.decimal_marks import settle_marks
from pipeline.logbook.importing.foreign import in_contract_words
from pipeline.logbook.importing.outcome import Outcome, held, loaded, rejected
from pipeline.logbook.importing.remarks import (
    is_ditto,
    is_nothing,
    nothing,
    only_words,
    part_remark,
)
from pipeline.logbook.importing.vocabulary import OECHSLE
from pipeline.logbook.numerals import read_number, tidy
from pipeline.logbook.typed_contract import HEAVIEST_GRAVITY, LIGHTEST_GRAVITY

_BRIX = (-5.0, 40.0)
_WITH_UNIT = re.compile(
    r"(?P<n>-?[0-9.]+) ?(?P<unit>°? ?(?:bx|brix|oe|oechsle|öchsle|sg|p|plato|kmw|babo|°))",
    re.IGNORECASE,
)
_WITH_WORDS = re.compile(
    r"(?P<before>[a-zA-Z][a-zA-Z ,:]*?)[ :,=]*(?P<n>[01]?\.[0-9]{2,4}|9[0-9]{2}|1[01][0-9]{2})"
    r"|(?P<n2>[01]?\.[0-9]{2,4}|9[0-9]{2}|1[01][0-9]{2})[ ,;:]+(?P<after>[a-zA-Z].*)"
)
_RANGE = re.compile(r"-?[0-9.]+ ?(?:[-–—/]|to|bis|à) ?[0-9.]+")


def read_gravity(raw: str, unit: str = "", words: str = "") -> Outcome:
    """Read a gravity cell.

    Parameters
    ----------
    raw : str
        The cell as typed, not blank.
    unit : str
        The scale its heading says: nothing, `Bx` or `°Oe`.
    words : str
        What the row's notes say, where they may speak of the instrument.

    Examples
    --------
    >>> read_gravity("1075").text, read_gravity("998").text, read_gravity("22").fate
    ('1.075', '0.998', 'held')
    """
    text = tidy(raw)
    if is_nothing(text):
        return nothing(text)
    if is_ditto(text):
        return Outcome("loaded", "", "no change noticed: kept as a note, not as a copied number")
    remark = part_remark(text)
    settled = settle_marks(in_contract_words(remark.text), ".", is_gravity=True)
    if not settled.is_number:
        return rejected("not-a-number", f"'{text}' is no number, and its marks are not moved")
    outcome = _understood(settled.text, unit, words)
    if remark.is_doubted and outcome.fate == "loaded":
        outcome = outcome._replace(text=f"~{outcome.text.lstrip('~')}")
    doubt = "marked ? and so kept as uncertain" if remark.is_doubted else ""
    rules = [settled.rule, outcome.rule, doubt]
    if outcome.fate == "loaded":
        notes = "; ".join(part for part in (outcome.note, remark.note) if part)
        rule = "; ".join(rule for rule in rules if rule)
        return outcome._replace(rule=rule, note=notes)
    return outcome


def _understood(text: str, unit: str, words: str) -> Outcome:
    rough = "~" if text.startswith("~") else ""
    body = text.lstrip("~ ")
    if (scaled := _scaled(body, unit)) is not None:
        return scaled
    value = read_number(body)
    if value is not None:
        found = _by_size(body, value, words)
        return found._replace(text=rough + found.text) if found.text else found
    return _worded(body)


def _scaled(text: str, unit: str) -> Outcome | None:
    """Read a number on a scale that the cell or the heading names."""
    match = _WITH_UNIT.fullmatch(text)
    number = match["n"] if match else text
    value = read_number(number)
    scale = (match["unit"].replace("°", "").strip().lower() if match else "") or {
        OECHSLE: "oe",
        "Bx": "bx",
    }.get(unit, "")
    if value is None or not scale or (not match and LIGHTEST_GRAVITY <= value <= HEAVIEST_GRAVITY):
        return None
    if scale in ("bx", "brix"):
        return loaded(f"{number} Bx", "" if match else "the heading says Brix")
    if scale in ("oe", "oechsle", "öchsle"):
        return loaded(f"{1 + value / 1000:.3f}", "degrees Oechsle are thousandths above 1")
    if scale == "sg":
        return _by_size(number, value, "")
    return held("other-scale", f"'{text}' is on a scale that is not converted here", ())


def _by_size(text: str, value: float, words: str) -> Outcome:
    """Read a bare number by where it lies: a gravity, a gravity times 1000, another scale."""
    if LIGHTEST_GRAVITY <= value <= HEAVIEST_GRAVITY:
        digits = len(text.partition(".")[2])
        if digits >= 3:
            return loaded(text if text[0] != "." else f"0{text}")
        return loaded(f"{value:.3f}", "three digits after the point: zeros at the end were lost")
    if LIGHTEST_GRAVITY * 1000 <= value <= HEAVIEST_GRAVITY * 1000 and "." not in text:
        return loaded(f"{value / 1000:.3f}", f"{text} is {value / 1000:.3f} written without point")
    if _BRIX[0] <= value <= _BRIX[1] and not _near_gravity(value):
        return _likely_brix(text, value, words)
    return rejected("out-of-range", f"'{text}' is no gravity, and its decimal point is not moved")


def _near_gravity(value: float) -> bool:
    """Whether a number looks like a gravity with its point slipped, such as 9.96."""
    slipped = value / 10
    return 0.0 < value < 2.0 or (LIGHTEST_GRAVITY <= slipped <= 1.0 and value != round(value, 1))


def _likely_brix(text: str, value: float, words: str) -> Outcome:
    if re.search(r"refract", words, re.IGNORECASE):
        reason = (
            f"'{text}' was read with a refractometer: once there is alcohol that is no gravity, "
            "and the plain Brix table does not hold"
        )
    elif value < 0:
        reason = (
            f"'{text}' cannot be a specific gravity; a hydrometer's Brix scale goes below nought"
        )
    else:
        reason = f"'{text}' cannot be a specific gravity; only Brix fits"
    if value >= 0:
        near = float(gravity_from_brix(value))
        reason += f" ({value:g} Brix is {near:.3f} in unfermented must)"
    return held("which-scale", reason, [f"{text} Bx"])


def _worded(text: str) -> Outcome:
    """Read a gravity with words beside it; the words go to the notes."""
    if _RANGE.fullmatch(text):
        return rejected("range", f"'{text}' is a range, which is not averaged")
    if text.startswith(("<", ">", "≤", "≥")):
        return rejected("bound-only", f"'{text}' is a bound, not a reading")
    if text.startswith(("#", "=")):
        return rejected("spreadsheet-error", f"'{text}' is a spreadsheet's error or formula")
    if match := _WITH_WORDS.fullmatch(text):
        number, words = match["n"] or match["n2"], match["before"] or match["after"]
        inner = read_gravity(number)
        if inner.fate == "loaded":
            rule = "; ".join(part for part in (inner.rule, f"'{words}' kept in the notes") if part)
            return inner._replace(rule=rule, note=words.strip())
    if not any(letter.isdigit() for letter in text):
        return only_words(text)
    return held("not-a-gravity", f"'{text}' is not certain to be one gravity")
