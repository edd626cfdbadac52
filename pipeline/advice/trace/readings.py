"""How what was read of a batch is worked out: gravities, strength, warmth and analyses."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from pipeline.advice.trace.rules import (
    Cells,
    Numbers,
    Rule,
    averaged,
    formula,
    most,
    number_of,
    product,
    read,
    same,
)
from pipeline.cellar.origins import Cell, Origins, Row
from pipeline.enology.alcohol import alcohol_from_gravities
from pipeline.enology.extract import (
    apparent_attenuation,
    dry_extract,
    real_attenuation,
    residual_sugar,
)
from pipeline.enology.gravity import corrected_gravity, gravity_from_refractometer
from pipeline.enology.sulphite import molecular_so2

_WARM_DAYS = 10  # the must temperature is that of the first ten days


def _original(must: Origins) -> list[Row]:
    return [row for row in must.rows("readings") if row["is_original"]]


def _last(must: Origins) -> list[Row]:
    """Return the reading that the ferment is judged by; later ones are of sweetened wine."""
    ferment = must.row("fermentations")
    return [
        row
        for row in must.rows("readings")
        if row["gravity"] is not None
        and row["day"] == ferment["last_day"]
        and row["gravity"] == ferment["last_gravity"]
    ][:1]


def _gravity(which: Callable[[Origins], list[Row]]) -> Rule:
    """Return the rule of a gravity as it was read: the sample's warmth and the instrument count."""

    def cells(must: Origins) -> list[Cell]:
        found: list[Cell] = []
        for row in which(must):
            if row["instrument"] == "refractometer":
                return must.cells("readings", [row], "gravity", "refractometer_brix")
            found += must.cells("readings", [row], "gravity", "gravity_read")
            if row["temperature_c"] is not None:
                found += must.cells("readings", [row], "temperature", "temperature_c")
            else:
                found.append(must.setting("hydrometer_calibrated_at_c", "hydrometer.calibrated_at"))
            found.append(must.setting("hydrometer_calibrated_at_c", "hydrometer.calibrated_at"))
            found.append(must.setting("hydrometer_offset", "hydrometer.offset"))
        return found

    def work(_: Numbers, given: Cells) -> float:
        numbers = [cell.value for cell in given if cell.value is not None]
        if not numbers:
            return math.nan
        function = gravity_from_refractometer if len(numbers) == 1 else corrected_gravity
        return float(function(*numbers))

    def by(must: Origins) -> Callable[..., object] | None:
        rows = which(must)
        if not rows:
            return None
        is_light = rows[0]["instrument"] == "refractometer"
        return gravity_from_refractometer if is_light else corrected_gravity

    return Rule("formula", work, cells, formula=by)


def _newest(column: str, written: str) -> Rule:
    """Return the rule of the newest reading of a kind."""

    def cells(must: Origins) -> list[Cell]:
        known = [row for row in must.rows("readings") if row[column] is not None]
        newest = sorted(known, key=lambda row: row["day"])[-1:]
        return must.cells("readings", newest, written, column)

    return read(cells, "latest")


def _warmth(must: Origins) -> list[Cell]:
    early = [
        row
        for row in must.rows("readings")
        if row["must_temperature_c"] is not None and row["day"] <= _WARM_DAYS
    ]
    return must.cells("readings", early, "must_temperature", "must_temperature_c")


def _gravities(must: Origins) -> list[Cell]:
    sorbates = [row["day"] for row in must.rows("must_lines") if row["kind"] == "sorbate"]
    until = min(sorbates, default=math.inf)
    known = [
        row for row in must.rows("readings") if row["gravity"] is not None and row["day"] <= until
    ]
    return must.cells("readings", known, "gravity")


def _is_known(measure: str) -> Callable[[Origins], bool]:
    """Return what tells whether the ferment was judged finished, or stuck."""
    return lambda must: must.row("fermentations")[measure] is not None


def _alcohol(given: Numbers, _: Cells) -> float:
    """Return the strength; a gravity that has not fallen shows none."""
    start, last = given
    return float(alcohol_from_gravities(start, last)) if last < start else math.nan


READING_RULES: dict[str, Rule] = {
    "original_gravity": _gravity(_original),
    "last_gravity": _gravity(_last),
    "last_day": read(lambda must: must.cells("readings", _last(must), "taken_on", "day"), "days"),
    "gravities": number_of(_gravities),
    "final_gravity": same("last_gravity", _is_known("final_gravity")),
    "stuck_gravity": same("last_gravity", _is_known("stuck_gravity")),
    "alcohol_before_topping": replace(
        formula(alcohol_from_gravities, "equivalent_gravity", "last_gravity"), work=_alcohol
    ),
    "alcohol": product("alcohol_before_topping", "undiluted_share"),
    "apparent_attenuation": formula(apparent_attenuation, "equivalent_gravity", "last_gravity"),
    "real_attenuation": formula(real_attenuation, "equivalent_gravity", "last_gravity"),
    "undiluted_extract_g_l": formula(dry_extract, "last_gravity", "alcohol_before_topping"),
    "dry_extract_g_l": product("undiluted_extract_g_l", "undiluted_share"),
    "undiluted_sugar_g_l": formula(residual_sugar, "last_gravity", "alcohol_before_topping"),
    "residual_sugar_g_l": product("undiluted_sugar_g_l", "undiluted_share"),
    "must_temperature_mean_c": averaged(_warmth),
    "must_temperature_max_c": most(_warmth),
    "ph": _newest("ph", "ph"),
    "ta_tartaric_g_l": _newest("ta_tartaric_g_l", "ta"),
    "free_so2_mg_l": _newest("free_so2_mg_l", "free_so2"),
    "molecular_so2_mg_l": formula(molecular_so2, "free_so2_mg_l", "ph"),
}
