"""The factors that a reason for harshness can name: which inputs each is, and in which steps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from pipeline.counts import counted
from pipeline.learning.musts import Musts
from pipeline.learning.taste.inputs import HALF_DAYS_AFTER, TasteInputs

MATRICES = {"fruit": ("fruit", "tannic"), "yeast": ("yeast",)}


@dataclass(frozen=True)
class Factor:
    """One factor.

    Parameters
    ----------
    name : str
        Its fixed name.
    inputs : tuple of str
        The inputs of taste that it is.
    step : (float, float)
        From and to of the step that its effect is stated for, in the first input's unit.
    per : str
        That step in words.
    shown : str
        How a batch's own value is told: a format of one number.
    least : float
        Spread over the logbook under which it has not varied.
    """

    name: str
    inputs: tuple[str, ...]
    step: tuple[float, float] = (0.0, 0.0)
    per: str = ""
    shown: str = "{:.1f}"
    least: float = 0.05


SHARE = "{:.0%} of the fruit"
FACTORS = (
    Factor("fruit", ()),
    Factor("fruit_load", ("load",), (0.35, 0.45), "per 0.1 kg/L more", "{:.2f} kg/L", 0.02),
    Factor("enzyme", ("enzyme",), (0, 1), "with it, not without", "{:.0%} used it"),
    Factor("freezing", ("frozen",), (0, 1), "frozen first, not fresh", SHARE),
    Factor("skins", ("skins",), (0, 1), "left on, not off", SHARE),
    Factor("contact_days", ("halvings",), (5.0, 10.0), "10 days, not 5", "{}", 0.08),
    Factor("tannin_added", ("tannin_added",), (0, 0.2), "per 0.2 g/L", "{:.2f} g/L", 0.01),
    Factor("acidity", ("acidity",), (6.5, 7.5), "per 1 g/L more", "{:.1f} g/L", 0.2),
    Factor("alcohol", ("alcohol",), (12.5, 13.5), "per 1 % vol more", "{:.1f} % vol", 0.3),
    Factor("residual_sugar", ("residual_sugar",), (5, 15), "per 10 g/L more", "{:.0f} g/L", 1.0),
    Factor(
        "must_temperature", ("must_temperature",), (22, 27), "27 °C, not 22 °C", "{:.0f} °C", 0.5
    ),
    Factor(
        "nitrogen_shortfall", ("shortfall",), (0, 0.5), "half of it missing, not none", "{:.0%}"
    ),
    Factor("age", ("age",), (90, 360), "tasted at a year, not at three months", "{}", 15),
    Factor("sulphite", ("sulphite",), (50, 150), "150 mg/L, not 50", "{:.0f} mg/L", 8.0),
    Factor("ripeness", ("unripe", "overripe"), (0, 1), "unripe, not ripe", SHARE + " unripe"),
    Factor("yeast", ()),
    Factor("crushing", ("crushed",), (0, 1), "crushed, not whole", SHARE),
)
BY_NAME = {factor.name: factor for factor in FACTORS}
HALVINGS_PER_DAY = 1 / HALF_DAYS_AFTER  # once the yeast is in


def usual_row(inputs: TasteInputs, rows: np.ndarray) -> TasteInputs:
    """Return one row: the mean of each input over these rows."""
    weight = sparse.csr_array(np.full((1, rows.size), 1.0 / max(rows.size, 1)))
    parts = (inputs.fruit, inputs.tannic, inputs.yeast)
    return TasteInputs(
        {name: np.array([values[rows].mean()]) for name, values in inputs.number.items()},
        {name: np.zeros(1) for name in inputs.doubt},
        *(sparse.csr_array(weight @ part[rows]) for part in parts),
    )


def varies(factor: Factor, inputs: TasteInputs, rows: np.ndarray) -> bool:
    """Tell whether a factor was seen to vary over these rows, in at least two of them."""
    if factor.name in MATRICES:
        part = inputs.fruit if factor.name == "fruit" else inputs.yeast
        shares = np.asarray(part[rows].sum(axis=0)).ravel()
        return int((shares > 0.5).sum()) >= 2
    return any(_spread(inputs, name, rows) > factor.least for name in factor.inputs)


def _spread(inputs: TasteInputs, name: str, rows: np.ndarray) -> float:
    """Return the standard deviation, not counting the one farthest out."""
    values = inputs.number[name][rows]
    if values.size < 3:
        return float(values.std()) if values.size else 0.0
    kept = np.argsort(np.abs(values - np.median(values)))[:-1]
    return float(values[kept].std())


def set_apart(inputs: TasteInputs, row: int, others: np.ndarray) -> list[str]:
    """Return the factors in which one batch clearly differs from the mean of some others."""
    found = []
    for factor in FACTORS:
        if factor.name in MATRICES:
            part = inputs.fruit if factor.name == "fruit" else inputs.yeast
            own = part[[row]].toarray().ravel()
            alike = float((part[others].toarray() @ own).mean())
            differs = own.sum() > 0 and alike < 0.5 * float(own @ own)
        else:
            differs = any(
                abs(inputs.number[name][row] - inputs.number[name][others].mean()) > factor.least
                for name in factor.inputs
            )
        if differs:
            found.append(factor.name)
    return found


def told(factor: Factor, inputs: TasteInputs, musts: Musts, row: int) -> str:
    """Return a batch's own value in words."""
    if factor.name == "fruit":
        return musts.main_fruit[row] or "no fruit"
    if factor.name == "yeast":
        return musts.yeast_as_typed[row] or "yeast not noted"
    if factor.name == "enzyme":
        return "used" if inputs.number["enzyme"][row] > 0.5 else "not used"
    if factor.name == "contact_days":
        days = musts["contact_days"][row]
        return "days not noted" if np.isnan(days) else _shown(factor, days)
    return _shown(factor, inputs.number[factor.inputs[0]][row])


def _shown(factor: Factor, value: float) -> str:
    """Write a factor's value; times are told in whole days."""
    is_time = factor.name in ("contact_days", "age")
    return factor.shown.format(counted(round(value), "day") if is_time else value)


def told_usual(factor: Factor, inputs: TasteInputs, musts: Musts, rows: np.ndarray) -> str:
    """Return what is usual over these rows in words."""
    if factor.name in MATRICES:
        return "their mix of fruits" if factor.name == "fruit" else "their mix of yeasts"
    if factor.name == "contact_days":
        known = musts["contact_days"][rows]
        known = known[np.isfinite(known)]
        return _shown(factor, known.mean()) if known.size else "days not noted"
    return _shown(factor, inputs.number[factor.inputs[0]][rows].mean())
