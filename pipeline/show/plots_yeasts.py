"""Finished gravity by yeast, and the chance that one finishes drier than another."""

import altair as alt
import polars as pl

from pipeline.show.measures import measure_of
from pipeline.show.palette import SLOE, STEP, titled
from pipeline.show.units import Units
from pipeline.show.words_yeasts import driest_first, pairs_of, yeasts_title

# Cells from unlikely through even to likely, and the chances between which black reads better on
# them than white: either way the text has a contrast of at least 4.5:1.
_CELLS = ("#a64e2e", "#ece8df", "#38629b")
_BLACK_BETWEEN = (0.06, 0.92)


def yeast_gravities(data: dict, units: Units) -> alt.LayerChart:
    """Plot each yeast's finished gravity in the same must, with its interval, driest first."""
    measure = measure_of("final_gravity", units)
    ordered = driest_first(data)
    frame = pl.DataFrame(
        [
            {
                "yeast": yeast["yeast"],
                "batches": yeast["batches"],
                "gravity": yeast["final_gravity"]["value"],
                "low": yeast["final_gravity"]["low"],
                "high": yeast["final_gravity"]["high"],
                "shown": measure.full(yeast["final_gravity"]),
            }
            for yeast in ordered
        ]
    )
    order = [yeast["yeast"] for yeast in ordered]
    base = alt.Chart(frame).encode(
        y=alt.Y("yeast:N", sort=order, title=None, axis=alt.Axis(grid=False, labelLimit=130)),
        tooltip=[
            alt.Tooltip("yeast:N"),
            alt.Tooltip("batches:Q"),
            alt.Tooltip("shown:N", title="finishes at"),
        ],
    )
    axis = alt.Axis(format=".3f", tickCount=5)
    low = alt.X(
        "low:Q", title="finished gravity (lower is drier)", scale=alt.Scale(zero=False), axis=axis
    )
    chart = alt.LayerChart(
        layer=[
            base.mark_rule(size=3, color=SLOE, opacity=0.45).encode(x=low, x2=alt.X2("high:Q")),
            base.mark_point(filled=True, size=80, color=SLOE, opacity=1).encode(
                x=alt.X("gravity:Q")
            ),
        ]
    ).properties(height=STEP * max(len(order), 1))
    return titled(chart, yeasts_title(data), "Bar: where the mean lies, nine times in ten.")


def yeast_chances(data: dict) -> alt.LayerChart:
    """Plot the chance, in a hundred, that the yeast of the row finishes drier than the column's."""
    order = [yeast["yeast"] for yeast in driest_first(data)]
    frame = pl.DataFrame(
        [
            {
                "row": row,
                "column": column,
                "chance": likely,
                "shown": _hundredths(likely),
            }
            for pair in pairs_of(data)
            for row, column, likely in (
                (pair["a"], pair["b"], pair["chance_a_drier"]),
                (pair["b"], pair["a"], 1 - pair["chance_a_drier"]),
            )
        ],
        schema={"row": pl.String, "column": pl.String, "chance": pl.Float64, "shown": pl.String},
    )
    base = alt.Chart(frame).encode(
        y=alt.Y("row:N", sort=order, title=None, axis=alt.Axis(grid=False, labelLimit=130)),
        x=alt.X(
            "column:N",
            sort=order,
            title="than",
            axis=alt.Axis(
                grid=False, orient="top", labelAngle=-40, labelLimit=110, labelOverlap=False
            ),
        ),
    )
    colour = alt.Color(
        "chance:Q",
        scale=alt.Scale(domain=[0, 0.5, 1], range=list(_CELLS), interpolate="rgb"),
        legend=None,
    )
    low, high = _BLACK_BETWEEN
    is_pale = f"datum.chance > {low} && datum.chance < {high}"
    chart = alt.LayerChart(
        layer=[
            base.mark_rect(cornerRadius=3).encode(color=colour),
            base.mark_text(fontSize=13).encode(
                text=alt.Text("shown:N"),
                color=alt.condition(is_pale, alt.value("#000000"), alt.value("#ffffff")),
            ),
        ]
    ).properties(height=(STEP + 6) * max(len(order), 1))
    return titled(
        chart,
        "Chances in 100 that the yeast on the left finishes drier",
        "Over the musts you made. Near 50 they cannot be told apart.",
    )


def _hundredths(probability: float) -> str:
    """Write chances in a hundred; a model that says 'certain' is overconfident."""
    if probability > 0.98:
        return ">98"
    return "<2" if probability < 0.02 else f"{100 * probability:.0f}"
