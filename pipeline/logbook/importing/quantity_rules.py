"""Why a quantity of old notes is held or rejected: each rule a small function with its sentence."""

import re
from collections.abc import Callable

from pipeline.logbook.contract import CellKind
from pipeline.logbook.importing.outcome import Outcome, held, rejected
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects

_BARE_SUM = re.compile(r"([0-9.]+)((?: ?\+ ?[0-9.]+)+)")
_LIKELY_UNITS: dict[str, tuple[str, ...]] = {
    "amount": ("tsp", "g", "kg", "lb"),
    "volume": ("L", "us gal", "imp gal"),
    "temperature": ("C", "F"),
}
_UNSURE = re.compile(r"(?<![a-z])(?:pfund|livres?|libras?|libbre|pond|funt)(?![a-z])", re.I)


def _bare_sum(text: str, kind: CellKind, expects: Expects, _fault: Fault) -> Outcome | None:
    """Hold `1000 + 200`: two additions on different days, or one."""
    if kind != "amount" or (match := _BARE_SUM.fullmatch(text)) is None:
        return None
    unit = f" {expects.bare.name}" if expects.bare else ""
    parts = [part.strip() for part in text.split("+")]
    one = " + ".join(f"{part}{unit}" for part in parts)
    del match
    return held(
        "sum",
        f"'{text}' may be {len(parts)} additions on different days, which are not given",
        [one],
    )


def _range(text: str, _kind: CellKind, _expects: Expects, fault: Fault) -> Outcome | None:
    """Reject a range: it is not averaged."""
    if fault.rule != "range":
        return None
    ends = re.findall(r"[0-9]+(?:\.[0-9]+)?", text)
    return rejected("range", f"'{text}' is a range, which is not one number and not averaged", ends)


def _bound(text: str, _kind: CellKind, _expects: Expects, fault: Fault) -> Outcome | None:
    """Reject a bound: `<10` is neither 10 nor 0."""
    if fault.rule != "bound-only":
        return None
    return rejected("bound-only", f"'{text}' is a bound: not the number itself and not 0")


def _date_shaped(text: str, _kind: CellKind, _expects: Expects, fault: Fault) -> Outcome | None:
    """Reject a fraction that a spreadsheet turned into a date, an error, a formula."""
    if fault.rule == "date-shaped":
        fractions = re.findall(r"[0-9]+/[0-9]+", fault.hint or "")
        return rejected(fault.rule, f"'{text}': {fault.message}", fractions)
    if fault.rule in ("spreadsheet-error", "formula"):
        return rejected(fault.rule, f"'{text}': {fault.message.partition(';')[0]}")
    return None


def _no_unit(text: str, kind: CellKind, _expects: Expects, fault: Fault) -> Outcome | None:
    """Hold a number without a unit."""
    if fault.rule != "no-unit":
        return None
    units = _LIKELY_UNITS.get(kind, ())
    return held(
        "no-unit",
        f"'{text}' has no unit, and the heading says none; it is left out of all sums",
        [f"{text} {unit}" for unit in units],
    )


def _unsure_unit(text: str, _kind: CellKind, _expects: Expects, _fault: Fault) -> Outcome | None:
    """Hold a pound of another country: half a kilogram, or 454 g, or less."""
    if _UNSURE.search(text) is None:
        return None
    number = re.sub(r"[^0-9.,½¼¾/ ]", "", text).strip()
    return held(
        "which-pound",
        f"'{text}' may be half kilograms or pounds of 454 g",
        [f"{number} lb"],
    )


QUANTITY_RULES: tuple[Callable[[str, CellKind, Expects, Fault], Outcome | None], ...] = (
    _date_shaped,
    _bare_sum,
    _range,
    _bound,
    _unsure_unit,
    _no_unit,
)
