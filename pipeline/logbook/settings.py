"""The optional settings file of a logbook, `logbook.toml`, with its defaults."""

import difflib
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from pipeline.errors import LogbookError
from pipeline.logbook.dates import DateOrder
from pipeline.logbook.limits import read_bounded
from pipeline.logbook.numerals import Decimal
from pipeline.logbook.problems import Fault, Problem
from pipeline.logbook.quantity import Expects, Quantity, read_quantity
from pipeline.logbook.units import Dimension

SETTINGS_FILE = "logbook.toml"
_MOST_BYTES = 20_000  # ten times a settings file with all its remarks
_LONGEST_LINE = 500
_MOST_SHOWN = 80  # letters
Gallon = Literal["us", "imperial"]


@dataclass(frozen=True)
class Settings:
    """What `logbook.toml` says.

    Attributes
    ----------
    gallon : {"us", "imperial"}, optional
        Which gallon a bare `gal` is; no default.
    dates : {"day-first", "month-first"}, optional
        How dates that are all numbers are written; without it they are refused.
    decimal : {".", ","}
        The decimal mark.
    currency : str
        The currency of `cost`, for display.
    show : {"metric", "us", "imperial"}
        Units in output.
    bottle_l : float
        Size of a bottle [L].
    harsh_from : float
        Harshness from which a glass counts as harsh [0–10].
    score_out_of : float
        The top of the logbook's one score scale.
    hydrometer_calibrated_at_c : float
        Temperature at which the hydrometer reads true [°C].
    hydrometer_offset : float
        What the hydrometer reads in water at that temperature, minus 1 [specific gravity].
    counts : dict of str to float
        Weight of one packet or tablet [kg], by name, such as "sulphite tablet".
    """

    gallon: Gallon | None = None
    dates: DateOrder | None = None
    decimal: Decimal = "."
    currency: str = ""
    show: Literal["metric", "us", "imperial"] = "metric"
    bottle_l: float = 0.75
    harsh_from: float = 5.0
    score_out_of: float = 20.0
    hydrometer_calibrated_at_c: float = 20.0
    hydrometer_offset: float = 0.0
    counts: dict[str, float] = field(default_factory=dict)


_Reader = Callable[[Any], Any]


def _one_of(*choices: str) -> _Reader:
    listed = " or ".join(f'"{choice}"' for choice in choices)

    def read(value: Any) -> Any:
        return value if value in choices else Fault("setting", f"must be {listed}")

    return read


def _number(low: float, high: float) -> _Reader:
    def read(value: Any) -> Any:
        if isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high:
            return float(value)
        return Fault("setting", f"must be a number from {low:g} to {high:g}")

    return read


def _quantity(
    noun: str, dimensions: set[Dimension], example: str, low: float, high: float
) -> _Reader:
    expects = Expects(noun, frozenset(dimensions), example)

    def read(value: Any) -> Any:
        found = read_quantity(value, expects) if isinstance(value, str) else None
        if not isinstance(found, Quantity) or found.us != found.imperial:
            return Fault("setting", f'must be a quantity such as "{example}"')
        size = (found.us - 32) / 1.8 if found.dimension == "fahrenheit" else found.us
        if low < size < high:
            return size
        return Fault("setting", f'must be a likely size, such as "{example}"')

    return read


def _text(value: Any) -> Any:
    return value if isinstance(value, str) else Fault("setting", "must be a text")


_READERS: dict[str, tuple[str, _Reader]] = {
    "gallon": ("gallon", _one_of("us", "imperial")),
    "dates": ("dates", _one_of("day-first", "month-first")),
    "decimal": ("decimal", _one_of(".", ",")),
    "currency": ("currency", _text),
    "show": ("show", _one_of("metric", "us", "imperial")),
    "bottle": ("bottle_l", _quantity("a bottle", {"volume"}, "750 mL", 0, 50)),
    "harsh_from": ("harsh_from", _number(0, 10)),
    "score_out_of": ("score_out_of", _number(1, 1000)),
    "hydrometer.calibrated_at": (
        "hydrometer_calibrated_at_c",
        _quantity("a temperature", {"celsius", "fahrenheit"}, "20 C", 0, 40),
    ),
    "hydrometer.offset": ("hydrometer_offset", _number(-0.02, 0.02)),
}
_COUNT = _quantity("a weight", {"mass"}, "0.44 g", 0, 100)


def read_settings(folder: Path) -> tuple[Settings, list[Problem]]:
    """Read `logbook.toml`, or return the defaults where there is none.

    Raises
    ------
    LogbookError
        If the file is no TOML, or a setting has a value that cannot be meant: every such setting
        changes how all rows are read, so none is guessed. All of them are named at once.
    """
    path = folder / SETTINGS_FILE
    if not path.exists() and not path.is_symlink():
        return Settings(), []
    return settings_from(_parsed(read_bounded(path, _MOST_BYTES)))


def _parsed(data: bytes) -> dict[str, Any]:
    """Return what the settings file says, as TOML understands it."""
    try:
        text = data.decode("utf-8-sig")
        if max(map(len, text.splitlines()), default=0) > _LONGEST_LINE:
            # Names within names, or brackets within brackets, take the reader ages.
            raise LogbookError(
                f"{SETTINGS_FILE} has a line of more than {_LONGEST_LINE} letters, the most that "
                "is read. Each line must be one setting."
            )
        return tomllib.loads(text)
    except (RecursionError, ValueError) as error:
        # TOMLDecodeError and UnicodeDecodeError are ValueErrors, and so is a number too long.
        reason = "brackets within brackets" if isinstance(error, RecursionError) else error
        raise LogbookError(
            f"{SETTINGS_FILE} cannot be read: {reason}. Each line must be a name, an equals sign "
            'and a value, such as gallon = "us".'
        ) from error


def settings_from(given: dict[str, Any]) -> tuple[Settings, list[Problem]]:
    """Turn the parsed settings file into settings.

    Raises
    ------
    LogbookError
        If a setting has a value that cannot be meant.
    """
    values: dict[str, Any] = {}
    counts, faults = _counts(given.get("counts", {}))
    problems: list[Problem] = []
    for name, value in _flat(given).items():
        if name not in _READERS:
            problems.append(_unknown_setting(name, value))
            continue
        attribute, read = _READERS[name]
        result = read(value)
        if isinstance(result, Fault):
            faults.append(f"{name} {result.message}, got {_shown(value)}")
        else:
            values[attribute] = result
    if faults:
        raise LogbookError(f"{SETTINGS_FILE} must be corrected: {'; '.join(faults)}.")
    return replace(Settings(), **values, counts=counts), problems


def _shown(value: Any) -> str:
    """Return a value for a sentence, its beginning if it is long."""
    try:
        text = repr(value)
    except (RecursionError, ValueError):
        return "something too long to show"
    return text if len(text) <= _MOST_SHOWN else f"{text[:_MOST_SHOWN]}…"


def _flat(given: dict[str, Any]) -> dict[str, Any]:
    flat = {name: value for name, value in given.items() if name not in ("hydrometer", "counts")}
    hydrometer = given.get("hydrometer", {})
    if not isinstance(hydrometer, dict):
        return flat | {"hydrometer": hydrometer}
    return flat | {f"hydrometer.{name}": value for name, value in hydrometer.items()}


def _counts(given: Any) -> tuple[dict[str, float], list[str]]:
    if not isinstance(given, dict):
        return {}, ['[counts] must be a table such as "sulphite tablet" = "0.44 g"']
    counts: dict[str, float] = {}
    faults = []
    for name, value in given.items():
        weight = _COUNT(value)
        if isinstance(weight, Fault):
            faults.append(
                f'[counts] "{name}" must be a weight such as "0.44 g", got {_shown(value)}'
            )
        else:
            counts[" ".join(name.lower().split())] = weight
    return counts, faults


def _unknown_setting(name: str, value: Any) -> Problem:
    close = difflib.get_close_matches(name, list(_READERS), n=1, cutoff=0.6)
    return Problem(
        "warning",
        SETTINGS_FILE,
        None,
        name,
        value[:_MOST_SHOWN] if isinstance(value, str) else _shown(value),
        "unknown-setting",
        f"there is no setting '{name}', so it changes nothing",
        f"{close[0]}" if close else f"one of {', '.join(_READERS)}, [counts]",
    )
