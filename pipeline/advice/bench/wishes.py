"""What somebody asks of the bench, read from the options they typed."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from pipeline.enology.acidity import acidity_from_titration
from pipeline.errors import HedgerowError
from pipeline.logbook.dates import DateOrder, read_date
from pipeline.logbook.numerals import read_number
from pipeline.logbook.problems import Fault
from pipeline.logbook.quantity import Expects, Quantity, read_quantity
from pipeline.logbook.quantity_cells import expectation
from pipeline.logbook.units import UNITS

_POURED = ("titrated", "sample")
_STRENGTH = Expects("a strength", frozenset({"percent"}), "12 or 12 %", UNITS["%"])


@dataclass(frozen=True)
class Wishes:
    """What is wanted of a wine; None is not asked.

    Parameters
    ----------
    sugar_g_l, gravity, acidity_g_l, alcohol_percent : float or None
        Targets: sugar in the wine, gravity, acidity as tartaric, strength.
    volume_l : float or None
        How much wine there is, or, in a blend, how much is wanted.
    blend : tuple of str
        Batches to blend it with.
    titrated_g_l : float or None
        Acidity just titrated [g/L as tartaric]; it stands before any in the logbook.
    """

    sugar_g_l: float | None = None
    gravity: float | None = None
    acidity_g_l: float | None = None
    alcohol_percent: float | None = None
    volume_l: float | None = None
    blend: tuple[str, ...] = ()
    titrated_g_l: float | None = None

    def blend_targets(self) -> dict[str, float]:
        """Return the targets a blend can be aimed at, by what they are of."""
        asked = {
            "alcohol": self.alcohol_percent,
            "acidity": self.acidity_g_l,
            "sugar": self.sugar_g_l,
        }
        return {name: target for name, target in asked.items() if target is not None}


def read_wishes(options: dict[str, Any], gallon: str | None) -> Wishes:
    """Read what was typed.

    Parameters
    ----------
    options : dict
        `sweeten_to`, `gravity`, `acidity`, `alcohol`, `volume` as typed, or None; `blend`.
    gallon : {"us", "imperial"} or None
        The batch's gallon, else the logbook's.

    Returns
    -------
    Wishes

    Raises
    ------
    HedgerowError
        If an option cannot be read or lies outside what a wine can be.
    """
    gravity = _read("--gravity", options.get("gravity"), expectation("gravity"))
    if gravity is not None and gravity.dimension == "brix":
        raise HedgerowError(
            f"--gravity must be a specific gravity such as 1.010, got {options['gravity']!r}: "
            "alcohol upsets the Brix scale. Read it with a hydrometer."
        )
    strength = _read("--alcohol", options.get("alcohol"), _STRENGTH)
    sugar = _read("--sweeten-to", options.get("sweeten_to"), expectation("sugar"))
    acidity = _read("--acidity", options.get("acidity"), expectation("acidity"))
    return Wishes(
        sugar_g_l=_within("--sweeten-to", sugar and sugar.us, 0, 300, "g/L"),
        gravity=_within("--gravity", gravity and gravity.us, 0.98, 1.2, ""),
        acidity_g_l=_within("--acidity", acidity and acidity.us, 1, 20, "g/L"),
        alcohol_percent=_within("--alcohol", strength and strength.us / 10, 0.5, 25, "%"),
        volume_l=read_volume("--volume", options.get("volume"), gallon),
        blend=tuple(options.get("blend") or ()),
        titrated_g_l=_titration(options),
    )


def _titration(options: dict[str, Any]) -> float | None:
    """Return the acidity that a titration shows [g/L as tartaric]; None if none was typed."""
    typed = {name: options.get(name) for name in ("titrated", "normality", "sample")}
    if not any(typed.values()):
        return None
    missing = [f"--{name}" for name, text in typed.items() if not text]
    if missing:
        raise HedgerowError(
            f"A titration needs {' and '.join(missing)} too: how much hydroxide of which normality "
            "on how much wine. Without all three it says nothing."
        )
    volumes = [read_volume(f"--{name}", typed[name], None, least_l=1e-5) for name in _POURED]
    normality = read_number(str(typed["normality"]))
    strength = _within("--normality", -1.0 if normality is None else normality, 0.001, 5, "eq/L")
    base_ml, sample_ml = (1000 * (litres or 0.0) for litres in volumes)
    return float(acidity_from_titration(base_ml, strength or 0.0, sample_ml))


def read_volume(
    option: str, text: str | None, gallon: str | None, least_l: float = 0.05
) -> float | None:
    """Read a volume that somebody typed.

    Parameters
    ----------
    option : str
        What it was typed after, for the message.
    text : str or None
        As typed, such as ``2 gal``; None if it was not.
    gallon : {"us", "imperial"} or None
        Which gallon counts.
    least_l : float
        Less than this is taken for a slip [L].

    Returns
    -------
    float or None
        [L]

    Raises
    ------
    HedgerowError
        If it cannot be read, is not above nought, or nothing says which gallon.
    """
    found = _read(option, text, expectation("volume"))
    if found is None:
        return None
    if found.us != found.imperial and gallon is None:
        raise HedgerowError(
            f"{option} {text!r} may be US or imperial: they differ by 20 %. "
            "Write us or imp before the unit, such as '2 us gal'."
        )
    litres = found.imperial if gallon == "imperial" else found.us
    return _within(option, litres, least_l, 5000, "L")


def read_start(text: str | None, dates: DateOrder | None) -> date | None:
    """Read a day that somebody typed after --start.

    Parameters
    ----------
    text : str or None
        As typed; None if it was not.
    dates : {"day-first", "month-first"} or None
        The logbook's order in dates such as 03/04/2026.

    Returns
    -------
    datetime.date or None

    Raises
    ------
    HedgerowError
        If it is no date.
    """
    if text is None:
        return None
    found = read_date(text, dates)
    if isinstance(found, Fault):
        hint = f" Type {found.hint}." if found.hint else ""
        raise HedgerowError(f"--start {text!r}: {found.message}.{hint}")
    return found[0]


def _read(option: str, text: str | None, expects: Expects) -> Quantity | None:
    if text is None:
        return None
    found = read_quantity(text, expects)
    if isinstance(found, Fault):
        hint = f" Type {found.hint}." if found.hint else ""
        raise HedgerowError(f"{option} {text!r}: {found.message}.{hint}")
    return found


def _within(option: str, value: float | None, low: float, high: float, unit: str) -> float | None:
    if value is not None and not low <= value <= high:
        suffix = f" {unit}" if unit else ""
        raise HedgerowError(
            f"{option} must be between {low:g} and {high:g}{suffix}, got {value:g}{suffix}. "
            "Check the unit and the decimal point."
        )
    return value
