"""One cell of old notes to what the contract's column can hold, by the column's kind."""

import re

from pipeline.logbook.contract import FILES, Column
from pipeline.logbook.importing.dates import read_day
from pipeline.logbook.importing.decimal_marks import settle_marks
from pipeline.logbook.importing.foreign import acid_basis
from pipeline.logbook.importing.gravities import read_gravity
from pipeline.logbook.importing.outcome import Outcome, held, loaded, rejected
from pipeline.logbook.importing.plan import ColumnPlan
from pipeline.logbook.importing.quantities import Facts, read_amount
from pipeline.logbook.importing.remarks import is_nothing, nothing, only_words, part_remark
from pipeline.logbook.importing.vocabulary import plain
from pipeline.logbook.numerals import read_number, tidy
from pipeline.logbook.quantity import Quantity, read_quantity
from pipeline.logbook.quantity_cells import expectation
from pipeline.logbook.slips import ph_hint

_COLUMNS = {(file, column.name): column for file, columns in FILES.items() for column in columns}
_BASIS_WORDS = re.compile(
    r" ?(?:\(?(?:as |als |expr\.? as |en )?(?:tart\w*|weins\w*|malic\w*|apfels\w*|citri\w*"
    r"|zitron\w*|sulph?\w*|sulf\w*|h2so4|schwefel\w*)(?: acid)?\)?)\.?",
    re.IGNORECASE,
)
_OUT_OF = re.compile(r"(?P<n>[0-9.]+) ?(?:/|out of|of|von|sur|de) ?(?P<top>[0-9]+)", re.IGNORECASE)
_CURRENCY = re.compile(
    r"^ ?(?:[£$€]|eur|usd|gbp|chf|zł|kr) ?| ?(?:[£$€]|eur|usd|gbp|chf|zł|kr)$", re.I
)
_BOTTLES = re.compile(r" ?(?:bottles?|flaschen|bouteilles|btl\.?s?)$", re.IGNORECASE)
_YES = frozenset({"yes", "y", "true", "1", "x", "ja", "oui", "si", "sí", "tak"})
_NO = frozenset({"no", "n", "false", "0", "nein", "non", "nie", "nej"})
_CHOICE_WORDS = {
    "hot water": "hot",
    "boiling water": "hot",
    "boiled": "simmered",
    "cold soak": "cold",
    "steam": "steamed",
    "mashed": "crushed",
    "chopped": "sliced",
    "juiced": "pressed",
    "whole frozen": "whole frozen",
    "frozen": "whole frozen",
    "finished": "bottled",
    "in bottle": "bottled",
    "maturing": "ageing",
    "hydro": "hydrometer",
    "hyd": "hydrometer",
    "refract": "refractometer",
    "refracto": "refractometer",
}


def read_cell(raw: str, plan: ColumnPlan, facts: Facts, words: str = "") -> Outcome:
    """Read a cell by its column's plan.

    Parameters
    ----------
    raw : str
        The cell as typed, not blank.
    plan : ColumnPlan
        What the column becomes.
    facts : Facts
        What is known of sheet and row.
    words : str
        The row's notes, where they may speak of the instrument.
    """
    if plan.to == "date" or plan.column in ("started_on", "moved_on", "removed_on"):
        return _day(raw, facts)
    column = _COLUMNS.get((plan.file, plan.column))
    if column is None:
        return loaded(tidy(raw))
    match column.kind:
        case "gravity":
            return read_gravity(raw, plan.unit, words)
        case "acidity":
            return _acidity(raw, plan, facts)
        case "amount" | "volume" | "temperature" | "sulphite" | "sugar":
            return read_amount(raw, column.kind, plan.unit, facts)
        case "number" | "score":
            return _number(raw, column, facts)
        case "choice" | "form" | "yes_no" | "faults":
            return _word(raw, column)
        case _:
            return _text(raw)


def _day(raw: str, facts: Facts) -> Outcome:
    return nothing(raw.strip()) if is_nothing(raw) else read_day(raw, facts.order, facts.today)


def _text(raw: str) -> Outcome:
    return nothing(raw.strip()) if is_nothing(raw) else loaded(tidy(raw))


def _acidity(raw: str, plan: ColumnPlan, facts: Facts) -> Outcome:
    """Read an acidity; without the acid it is expressed as it stays open."""
    text = tidy(raw)
    basis = acid_basis(text) or plan.basis or facts.ta_as
    bare = _BASIS_WORDS.sub("", text)
    in_grams = re.sub(r"(?<=[0-9]) ?(?:ppt|‰|g/kg)$", " g/L", bare, flags=re.IGNORECASE)
    outcome = read_amount(in_grams, "acidity", plan.unit, facts)
    if outcome.fate != "loaded":
        return outcome
    if not basis:
        return held("which-acid", _which_acid(text, outcome.text), _as_each_acid(outcome.text))
    rules = [outcome.rule, "parts per thousand read as g/L" if in_grams != bare else ""]
    rule = "; ".join(part for part in rules if part)
    return outcome._replace(rule=rule, more=(("ta_as", basis),))


def _which_acid(text: str, written: str) -> str:
    found = read_quantity(written, expectation("acidity"))
    size = f" ({found.us:.1f} g/L)" if isinstance(found, Quantity) and "%" in written else ""
    unit = "" if re.search(r"[a-zA-Z%‰]", text) else " nor its unit"
    return f"'{text}'{size} does not say which acid it is expressed as{unit}"


def _as_each_acid(written: str) -> list[str]:
    return [f"{written} as {acid}" for acid in ("tartaric", "malic", "citric", "sulphuric")]


def _number(raw: str, column: Column, facts: Facts) -> Outcome:
    text = tidy(raw)
    if is_nothing(text):
        return nothing(text)
    if column.kind == "score" and (scaled := _OUT_OF.fullmatch(text.replace(",", "."))):
        return _scored(scaled["n"], scaled["top"], text, facts)
    remark = part_remark(text)
    own_word = {"cost": _CURRENCY, "bottles": _BOTTLES}.get(column.name)
    bare = own_word.sub("", remark.text) if own_word else remark.text
    settled = settle_marks(bare, facts.decimal)
    value = read_number(settled.text)
    if value is None or settled.readings or not settled.is_number:
        return _no_number(text, settled.readings)
    if column.kind == "score" and not facts.score_out_of:
        return held("which-scale", f"'{text}' does not say out of how many points", ())
    if column.kind == "score" and (other := _other_scale(text, facts)) is not None:
        return other
    return _in_bounds(settled.text, value, column, settled.rule, remark.note)


def _scored(number: str, top: str, text: str, facts: Facts) -> Outcome:
    if facts.score_out_of == top:
        return _other_scale(text, facts) or loaded(number, f"'{text}' names the sheet's scale")
    return held("other-scale", f"'{text}' is out of {top}; scores are never rescaled", ())


def _other_scale(text: str, facts: Facts) -> Outcome | None:
    """Hold a score on another scale than the logbook's one."""
    if facts.logbook_scale in ("", facts.score_out_of):
        return None
    return held(
        "other-scale",
        f"'{text}' is out of {facts.score_out_of}, and this logbook scores out of "
        f"{facts.logbook_scale}; scores are never rescaled",
    )


def _no_number(text: str, readings: tuple[str, ...]) -> Outcome:
    if readings:
        return held("decimal-mark", f"'{text}' may have a decimal mark or thousands", readings)
    if text.startswith(("<", ">", "≤", "≥")):
        return rejected("bound-only", f"'{text}' is a bound, not a number")
    if not any(letter.isdigit() for letter in text):
        return only_words(text)
    return held("not-a-number", f"'{text}' is not one bare number")


def _in_bounds(text: str, value: float, column: Column, rule: str, note: str) -> Outcome:
    low, high = column.low, column.high
    is_low = low is not None and (value < low or (column.is_above and value == low))
    if is_low or (high is not None and value > high):
        hint = ph_hint(text) if column.name == "ph" else None
        bounds = " to ".join(f"{bound:g}" for bound in (low, high) if bound is not None)
        reason = f"{column.name} lies within {bounds}, and '{text}' does not"
        return held("out-of-range", reason, [hint]) if hint else rejected("out-of-range", reason)
    return loaded(text, rule, note)


def _word(raw: str, column: Column) -> Outcome:
    text = tidy(raw).lower()
    if column.kind == "yes_no":
        return _yes_or_no(raw, text, column)
    if column.kind == "faults":
        return _faults(raw, text, column)
    is_form = column.kind == "form" and text.removesuffix(" frozen") in column.choices
    if text in column.choices or is_form:
        return loaded(text)
    if (meant := _CHOICE_WORDS.get(plain(text))) and meant.split()[0] in column.choices:
        return loaded(meant, f"'{raw.strip()}' is {meant}")
    return nothing(text) if is_nothing(text) else _not_a_word(raw, column)


def _yes_or_no(raw: str, text: str, column: Column) -> Outcome:
    answer = "yes" if text in _YES else "no" if text in _NO else ""
    if not answer:
        return nothing(text) if is_nothing(text) else _not_a_word(raw, column)
    return loaded(answer, "" if answer == text else f"'{raw.strip()}' is {answer}")


def _faults(raw: str, text: str, column: Column) -> Outcome:
    words = [word.strip() for word in re.split(r"[;,/]| and ", text) if word.strip()]
    if words and all(word in column.choices for word in words):
        return loaded("; ".join(words))
    return nothing(text) if is_nothing(text) else _not_a_word(raw, column)


def _not_a_word(raw: str, column: Column) -> Outcome:
    choices = column.choices or ("yes", "no")
    return held("choice", f"'{raw.strip()}' is none of {', '.join(choices)}", choices)
