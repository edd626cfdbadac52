"""What moves the scalars of a ferment: terms per fruit, yeast and treatment, and their priors.

Where coefficients stand before any batch is seen, and how far from it they may be, is common
practice or from memory, no source; the logbook overrules it as it grows.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from scipy import sparse

from pipeline.learning.ferment import Scalars
from pipeline.learning.mixed.columns import Columns, Prior, indicator, scaled_rows
from pipeline.learning.musts import Musts

NITROGEN_MG_KG = 200.0  # [mg/kg] that a fruit brings
TOLERANCE = 14.5  # [% vol]
RESIDUE = 2.0  # [g/L]
EXTRACT_G_L = 16.0
EXTRACT_G_KG = 12.0
USUAL_WARMTH_C = 21.0
USUAL_DAYS = 8.0


@dataclass(frozen=True)
class Words:
    """The fruits and yeasts that have effects of their own, and what is typical."""

    fruits: tuple[str, ...]
    yeasts: tuple[str, ...]
    typical: dict[str, float]


def base_scalars(musts: Musts) -> dict[str, np.ndarray]:
    """Return the scalars where all coefficients are nought."""
    count = len(musts)
    load = np.nan_to_num(musts["load"])
    return {
        "more_sugar": np.zeros(count),
        "litres": np.zeros(count),
        "early": np.zeros(count),
        "early_juice": np.zeros(count),
        "more_nitrogen": NITROGEN_MG_KG * load,
        "demand": np.zeros(count),
        "tolerance": np.full(count, TOLERANCE),
        "cost": np.zeros(count),
        "corner": np.zeros(count),
        "gain": np.zeros(count),
        "residue": np.full(count, RESIDUE),
        "extract": EXTRACT_G_L + EXTRACT_G_KG * load,
    }


def scalar_columns(words: Words, musts: Musts) -> dict[str, Columns]:
    """Return the columns of every scalar, in the order of `Scalars`."""
    found = {scalar.name: Columns(len(musts)) for scalar in fields(Scalars)}
    _add_sugar(found["more_sugar"], words, musts)
    found["litres"].line("all fruit", np.ones(len(musts)), Prior(0.03))
    found["litres"].block("fruit", _shares(musts), [*words.fruits, "?"], Prior(0.04))
    _add_early(found["early"], words, musts)
    # Sugar comes out with the juice: the two differ little in how early.
    _add_early(found["early_juice"], words, musts, size=0.3)
    _add_nitrogen(found, words, musts)
    _add_yeast(found, words, musts)
    _add_extract(found["extract"], words, musts)
    return found


def _add_sugar(sugar: Columns, words: Words, musts: Musts) -> None:
    """Add what a fruit's sugar may be beyond the table's: by fruit, ripeness and treatment."""
    lines, typical = musts.lines, words.typical
    # A usual departure of a fruit's sugar from the table [g/kg].
    size = 0.12 * np.nan_to_num(lines.number["sugar_g_kg"], nan=80.0) + 4.0
    rows = np.arange(lines.must.size)
    shape = (len(musts), rows.size)
    table = sparse.csr_array((lines.load * size, (lines.must, rows)), shape=shape)
    each = sparse.csr_array((lines.load * size, (lines.must, lines.fruit)), shape=musts.load.shape)
    sugar.line("all fruit", table @ np.ones(rows.size), Prior(0.5))
    sugar.block("fruit", each, [*words.fruits, "?"], Prior(0.9, 0.3))
    for name in ("unripe_share", "overripe_share", "crushed_share", "frozen_share"):
        usual, values = typical.get(name, 0.0), lines.number[name]
        away = np.where(np.isfinite(values), values, usual) - usual
        # Ripeness makes sugar; crushing and freezing only let it out.
        if name in ("unripe_share", "overripe_share"):
            sugar.line(name, table @ away, Prior(0.5), "sugar ripeness")
        else:
            sugar.line(name, table @ away, Prior(0.2), "sugar treatment")
    usual, days = typical.get("contact_days", USUAL_DAYS), lines.number["contact_days"]
    short = np.exp(-np.where(np.isfinite(days), days, usual) / 3.0)
    sugar.line("short contact", table @ (short - np.exp(-usual / 3.0)), Prior(1.0))
    starch = np.nan_to_num(musts["fruit_starch_g"]) / musts["target_l"]
    sugar.line("starch", starch, Prior(0.2))
    sugar.line("starch × amylase", starch * musts.filled("has_amylase", typical), Prior(0.25))


def _add_early(early: Columns, words: Words, musts: Musts, size: float = 1.0) -> None:
    """Add what decides how much of the fruit is out when gravity is first read."""
    early.line("all fruit", np.ones(len(musts)), Prior(size))
    early.block("fruit", _shares(musts), [*words.fruits, "?"], Prior(0.3 * size))
    for name in ("crushed_share", "frozen_share", "heat", "contact_days_before_yeast"):
        away = musts.filled(name, words.typical) - words.typical.get(name, 0.0)
        early.line(name, away, Prior(0.7 * size), "early treatment")


def _add_nitrogen(found: dict[str, Columns], words: Words, musts: Musts) -> None:
    one, load = np.ones(len(musts)), np.nan_to_num(musts["load"])
    found["more_nitrogen"].line("all fruit", load, Prior(100.0))
    found["more_nitrogen"].block("fruit", musts.load, [*words.fruits, "?"], Prior(90.0))
    yeast = indicator(musts.yeast, words.yeasts)
    found["demand"].line("all", one, Prior(0.25))
    found["demand"].block("yeast", yeast, [*words.yeasts, "?"], Prior(0.2))
    found["cost"].line("all", one, Prior(0.5))


def _add_yeast(found: dict[str, Columns], words: Words, musts: Musts) -> None:
    """Add what a yeast stands, makes and leaves, and what warmth does to that."""
    one, names = np.ones(len(musts)), [*words.yeasts, "?"]
    yeast = indicator(musts.yeast, words.yeasts)
    usual = {"must_temperature_c": USUAL_WARMTH_C} | words.typical
    warm = musts.filled("must_temperature_c", usual)
    tolerance, gain, residue = found["tolerance"], found["gain"], found["residue"]
    tolerance.line("all", one, Prior(1.2))
    tolerance.block("yeast", yeast, names, Prior(1.5, 0.3))
    tolerance.line("hot", np.maximum(warm - 24.0, 0) ** 2 / 16.0, Prior(0.5))
    tolerance.line("cold", np.maximum(17.0 - warm, 0) ** 2 / 16.0, Prior(0.5))
    found["corner"].line("all", one, Prior(0.4))
    gain.line("all", one, Prior(0.003))
    gain.block("yeast", yeast, names, Prior(0.003))
    gain.line("warmth", (warm - USUAL_WARMTH_C) / 5.0, Prior(0.003))
    residue.line("all", one, Prior(1.5))
    residue.block("yeast", yeast, names, Prior(1.5, 0.3))


def _add_extract(extract: Columns, words: Words, musts: Musts) -> None:
    """Add what is dissolved and no sugar: from fruit, powders and the fermentation itself."""
    load, typical = np.nan_to_num(musts["load"]), words.typical
    extract.line("all", np.ones(len(musts)), Prior(5.0))
    extract.line("all fruit", load, Prior(6.0))
    extract.block("fruit", musts.load, [*words.fruits, "?"], Prior(6.0, 0.4))
    acid = musts.filled("acid_added_g_l", typical) - typical.get("acid_added_g_l", 0.0)
    extract.line("acid", acid, Prior(0.6))
    extract.line("tannin", musts.filled("tannin_added_g_l", typical), Prior(0.8))
    sweet = (musts["sugar_kg"] / musts["target_l"] - 0.25) / 0.1
    extract.line("glycerol", np.nan_to_num(sweet), Prior(2.0))


def _shares(musts: Musts) -> sparse.csr_array:
    total = np.asarray(musts.load.sum(axis=1)).ravel()
    return sparse.csr_array(scaled_rows(musts.load, 1 / np.maximum(total, 1e-9)))
