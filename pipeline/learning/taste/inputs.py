"""What the taste of a wine depends on, as numbers: the same for a glass, a batch and a plan."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from scipy import sparse

from pipeline.learning.doubtful import ERROR_TO_SD
from pipeline.learning.mixed.columns import indicator
from pipeline.learning.musts import Musts

# Tannin per kg of fruit by class 0 … 3, very tannic = 1: common practice, no source.
TANNIN_OF_CLASS = np.array([0.05, 0.3, 0.6, 1.0])
USUAL_LOAD = 0.35  # [kg/L] at which a very tannic fruit gives about 1 g/L of tannin; same
PULP_SHARE = 0.25  # share of a fruit's tannin that comes out without its skins; same
# Days to give half of its tannin, skins soon and seeds for weeks: common practice, no source.
HALF_DAYS_BEFORE, HALF_DAYS_AFTER = 12.0, 6.0
TABLED_SHORTFALL_SD = 0.2  # how far off tables of nitrogen are; common practice, no source
FRUIT_NITROGEN_MG_KG = 200.0  # [mg/kg] what the yeast can use; common practice, no source
# Where the logbook says nothing: what goes without saying, else what is usual.
UNSAID = {"unripe": 0.0, "overripe": 0.0, "frozen": 0.0, "sulphite": 0.0, "starch": 0.0}
UNSAID_SD = {"unripe": 0.2, "overripe": 0.2}
USUAL = {
    "load": (0.35, 0.15),
    "skins": (0.5, 0.4),
    "halvings": (1.3, 0.5),
    "crushed": (0.3, 0.4),
    "enzyme": (0.5, 0.5),
    "tannin_added": (0.0, 0.2),
    "acidity": (6.5, 1.2),
    "alcohol": (12.0, 1.2),
    "residual_sugar": (5.0, 6.0),
    "must_temperature": (21.0, 2.5),
    "shortfall": (0.2, 0.25),
    "age": (270.0, 90.0),
    "heat": (0.0, 0.3),
    "pressing": (0.5, 0.4),
}
WAYS = ("heat", "pressing")  # of working: the commonest stands in, not the mean


@dataclass(frozen=True)
class WineInputs:
    """Strength, sweetness and acidity of finished wines, with standard deviations.

    alcohol (n,) [% vol], residual_sugar, acidity (n,) [g/L, as tartaric]; NaN where unknown.
    shortfall (n,) is the share of the nitrogen needed that was missing, as gravities show it.
    """

    alcohol: np.ndarray
    residual_sugar: np.ndarray
    acidity: np.ndarray
    alcohol_sd: np.ndarray
    residual_sugar_sd: np.ndarray
    acidity_sd: np.ndarray
    shortfall: np.ndarray
    shortfall_sd: np.ndarray

    def take(self, rows: np.ndarray) -> WineInputs:
        """Return some of the wines, in the order of these places."""
        return WineInputs(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})


@dataclass(frozen=True)
class TasteInputs:
    """Complete inputs, one entry a row.

    number[name] (n,); doubt[name] (n,) its standard deviation where not surely known. fruit
    (n, fruits + 1) shares of the fruit's weight, tannic the same times each fruit's tannin, yeast
    (n, yeasts + 1) an indicator.
    """

    number: dict[str, np.ndarray]
    doubt: dict[str, np.ndarray]
    fruit: sparse.csr_array
    tannic: sparse.csr_array
    yeast: sparse.csr_array

    def __len__(self) -> int:
        return int(self.fruit.shape[0])

    def take(self, rows: np.ndarray) -> TasteInputs:
        """Return these rows, repeated where a place comes more than once."""
        return TasteInputs(
            {name: values[rows] for name, values in self.number.items()},
            {name: values[rows] for name, values in self.doubt.items()},
            *(sparse.csr_array(part[rows]) for part in (self.fruit, self.tannic, self.yeast)),
        )

    def changed(self, **numbers: np.ndarray) -> TasteInputs:
        """Return the same rows with some numbers replaced."""
        return replace(self, number={**self.number, **numbers})


@dataclass(frozen=True)
class Usual:
    """What is usual in a logbook: mean and spread of every input, and its words."""

    mean: dict[str, float]
    spread: dict[str, float]
    yeasts: tuple[str, ...]


def usual_inputs(musts: Musts, wine: WineInputs) -> Usual:
    """Learn what is usual from the batches of a logbook."""
    mean, spread = {}, {}
    for name, values in _known(musts, wine).items():
        known = values[np.isfinite(values)]
        default, default_sd = USUAL.get(name, (UNSAID.get(name, 0.0), UNSAID_SD.get(name, 0.0)))
        mean[name], spread[name] = default, default_sd
        if known.size >= 2 and name not in UNSAID:
            mean[name] = _commonest(known) if name in WAYS else float(known.mean())
            spread[name] = max(float(known.std()), 0.2 * default_sd)
    yeasts = tuple(sorted({yeast for yeast in musts.yeast if yeast is not None}))
    return Usual(mean, spread, yeasts)


def read_inputs(musts: Musts, wine: WineInputs, usual: Usual) -> TasteInputs:
    """Describe musts by what their taste depends on.

    Parameters
    ----------
    musts : Musts
    wine : WineInputs
        One entry per must.
    usual : Usual
        What stands in for the unknown; its spread becomes the doubt.
    """
    number, doubt = {}, _errors(musts, wine)
    for name, values in _known(musts, wine).items():
        known = np.isfinite(values)
        number[name] = np.where(known, values, usual.mean[name])
        sure = np.nan_to_num(doubt.get(name, np.zeros(len(musts))))
        doubt[name] = np.where(known, sure, usual.spread[name])
    fruit, tannic = _fruit_shares(musts)
    return TasteInputs(number, doubt, fruit, tannic, indicator(musts.yeast, usual.yeasts))


def _known(musts: Musts, wine: WineInputs) -> dict[str, np.ndarray]:
    """Return every input, NaN where unknown."""
    tannin_of = _line_weights(musts)
    found = {
        "load": musts["load"],
        "skins": _weighted(musts, musts.lines.number["skins_share"], tannin_of),
        "halvings": _weighted(musts, _halvings(musts), tannin_of),
        "crushed": musts["crushed_share"],
        "frozen": musts["frozen_share"],
        "unripe": musts["unripe_share"],
        "overripe": musts["overripe_share"],
        "enzyme": musts["has_pectic_enzyme"],
        "tannin_added": musts["tannin_added_g_l"],
        "acidity": wine.acidity,
        "alcohol": wine.alcohol,
        "residual_sugar": wine.residual_sugar,
        "must_temperature": musts["must_temperature_c"],
        "shortfall": _shortfall(musts, wine)[0],
        "age": musts["taste_day"],
        "sulphite": musts["so2_added_mg_l"],
        "heat": musts["heat"],
        "pressing": musts["pressing"],
        "starch": musts["fruit_starch_g"] / musts["must_l"] * (1 - musts["has_amylase"]),
    }
    for name, value in UNSAID.items():
        found[name] = np.where(np.isfinite(found[name]), found[name], value)
    return found


def _errors(musts: Musts, wine: WineInputs) -> dict[str, np.ndarray]:
    none = np.zeros(len(musts))
    return {
        "load": musts["fruit_error_kg"] / musts["target_l"] / ERROR_TO_SD,
        "tannin_added": musts["tannin_error_g_l"] / ERROR_TO_SD,
        "shortfall": _shortfall(musts, wine)[1],
        "acidity": wine.acidity_sd,
        "alcohol": wine.alcohol_sd,
        "residual_sugar": wine.residual_sugar_sd,
        # What a plan leaves open is as usual, and may be other than usual.
        "must_temperature": musts.number.get("must_temperature_c_doubt", none),
        **{name: musts.number.get(f"{name}_doubt", none) for name in WAYS},
    }


def _halvings(musts: Musts) -> np.ndarray:
    """Return how often what a fruit still holds was halved, per fruit line."""
    number = musts.lines.number
    before, after = number["contact_days_before_yeast"], number["contact_days_after_yeast"]
    apart = before / HALF_DAYS_BEFORE + after / HALF_DAYS_AFTER
    together = np.maximum(number["contact_days"] - 0.5, 0.0) / HALF_DAYS_AFTER
    return np.where(np.isfinite(apart), apart, together)


def _line_weights(musts: Musts) -> np.ndarray:
    """Return the tannin that each fruit line could give, never quite nothing."""
    lines = musts.lines
    load = np.where(lines.load > 0, lines.load, 0.01)
    classes = np.clip(np.nan_to_num(lines.number["tannin_class"], nan=1.0), 0, 3)
    return load * np.interp(classes, np.arange(4), TANNIN_OF_CLASS)


def _weighted(musts: Musts, values: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Return the mean over a must's fruit lines that know it, NaN where none does."""
    known = np.isfinite(values)
    must, count = musts.lines.must, len(musts)
    total = np.bincount(must, np.where(known, weight, 0.0), count)
    product = np.bincount(must, np.where(known, weight * np.nan_to_num(values), 0.0), count)
    return np.divide(product, total, out=np.full(count, np.nan), where=total > 0)


def _fruit_shares(musts: Musts) -> tuple[sparse.csr_array, sparse.csr_array]:
    lines, shape = musts.lines, (len(musts), len(musts.fruits) + 1)
    load = np.where(lines.load > 0, lines.load, 0.01)
    total = np.bincount(lines.must, load, len(musts))[lines.must]
    places = (lines.must, lines.fruit)
    fruit = sparse.csr_array((load / total, places), shape=shape)
    return fruit, sparse.csr_array((_line_weights(musts) / total, places), shape=shape)


def _shortfall(musts: Musts, wine: WineInputs) -> tuple[np.ndarray, np.ndarray]:
    """Return the share of the nitrogen needed that is missing, and its standard deviation.

    What tables say of fruit and need, weighed against what the gravities of this logbook showed of
    its own fruits and yeasts, each by how surely it is known.
    """
    fruit = FRUIT_NITROGEN_MG_KG * musts["fruit_kg"] / musts["must_l"]
    supply = musts["nitrogen_added_mg_l"] + fruit
    needed = np.maximum(musts["nitrogen_needed_mg_l"], 1.0)
    plain = np.clip(1.0 - supply / needed, 0.0, 1.0)
    error = np.nan_to_num(musts["nitrogen_error_mg_l"]) / needed / ERROR_TO_SD
    plain_sd = np.hypot(error, TABLED_SHORTFALL_SD)
    seen, seen_sd = np.clip(wine.shortfall, 0.0, 1.0), wine.shortfall_sd
    share = np.where(np.isfinite(seen), plain_sd**2 / (plain_sd**2 + seen_sd**2), 0.0)
    value = plain + share * np.nan_to_num(seen - plain)
    return value, plain_sd * np.sqrt(1.0 - share)


def _commonest(values: np.ndarray) -> float:
    ways, counts = np.unique(values, return_counts=True)
    return float(ways[counts.argmax()])
