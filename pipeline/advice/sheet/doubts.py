"""What stands against a sheet: what is not known, what is taken by default, what looks a slip."""

from typing import Any

from pipeline.advice.sheet.steps import FRUIT_OUT_DAY, RACKINGS
from pipeline.counts import times
from pipeline.enology.limits import limit
from pipeline.enology.sulphite_doses import SINGLE_DOSE_CAUTION_MG_L
from pipeline.learning.estimate import Doubt


def sheet_doubts(rows: list[dict], whole: dict[str, Any], must: dict[str, Any]) -> list[Doubt]:
    """Return what stands against a sheet: what is not known, taken by default, or looks a slip.

    Parameters
    ----------
    rows : list of dict
        The recipe's lines (`sheet_scale.written_lines`).
    whole : dict
        What is said of the whole recipe.
    must : dict
        The scaled recipe's row of `musts`.
    """
    found = [
        Doubt(
            "missing_input",
            f"line {row['line']}: how much '{row['ingredient']}' weighs is "
            "not known, so what it brings is not counted",
        )
        for row in rows
        if row["amount_kg"] is None and row["amount_l"] is None
    ]
    fruit = [row for row in rows if row["kind"] == "fruit"]
    if any(row["removed_day"] is None for row in fruit):
        found.append(
            Doubt(
                "default_value",
                f"the recipe does not say when the fruit comes out: "
                f"{FRUIT_OUT_DAY:.0f} days are taken",
            )
        )
    if whole["rackings"] is None:
        found.append(
            Doubt(
                "default_value",
                f"the recipe does not say how often to rack: {times(RACKINGS)} is taken",
            )
        )
    return [*found, *_dose_doubts(rows, must)]


def _dose_doubts(rows: list[dict], must: dict[str, Any]) -> list[Doubt]:
    found = []
    sulphite_days = {row["day"] for row in rows if row["kind"] == "sulphite"}
    yeast_days = {row["day"] for row in rows if row["kind"] == "yeast"}
    if not yeast_days:
        found.append(Doubt("missing_input", "no yeast is written in this recipe"))
    if sulphite_days & yeast_days:
        found.append(
            Doubt(
                "outside_experience",
                "yeast and sulphite stand on the same day: leave a day "
                "between them, or the yeast may not start",
            )
        )
    if (must["so2_added_mg_l"] or 0.0) > SINGLE_DOSE_CAUTION_MG_L:
        found.append(
            Doubt(
                "outside_experience",
                f"sulphite comes to {must['so2_added_mg_l']:.0f} mg/L; "
                f"more than {SINGLE_DOSE_CAUTION_MG_L:.0f} at once is nearly always a slip",
            )
        )
    ceiling = limit("ammonium phosphate us")
    if (must["ammonium_phosphate_g_l"] or 0.0) > ceiling.value:
        found.append(
            Doubt(
                "outside_experience",
                f"diammonium phosphate comes to "
                f"{must['ammonium_phosphate_g_l']:.2f} g/L, past {ceiling.sentence()}",
            )
        )
    return found
