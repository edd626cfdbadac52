"""What goes with harsh glasses, over all batches and in one: points of harshness by factor."""

import altair as alt
import polars as pl

from pipeline.show.measures import Estimate, is_apart, measure_of
from pipeline.show.palette import BARK, HARSHER, SOFTER, SOLID, STEP, UNTOLD, titled
from pipeline.show.units import Units
from pipeline.show.words_harsh import (
    batch_title,
    factor_name,
    harsh_title,
    reasons_shown,
    strongest_first,
)

_DIRECTIONS = ("harsher", "softer", "cannot tell")
_COLOURS = alt.Scale(domain=_DIRECTIONS, range=[HARSHER, SOFTER, UNTOLD])
_SHAPES = alt.Scale(domain=_DIRECTIONS, range=["triangle-right", "triangle-left", "circle"])
_MOST = 10  # factors shown; the table has them all


def harsh_drivers(data: dict, units: Units) -> alt.LayerChart:
    """Plot the points of harshness that each factor goes with, over all batches."""
    entries = strongest_first(data["drivers"])[:_MOST]
    rows = [_row(entry, entry["effect"], entry["per"], units) for entry in entries]
    chart = _against_nought(rows, "points of harshness, of 10")
    return titled(chart, harsh_title(data), "Bar: where the mean lies, nine times in ten.")


def harsh_reasons(data: dict, units: Units) -> alt.LayerChart:
    """Plot what sets one batch apart from the maker's smooth batches, in points of harshness."""
    entries = reasons_shown(data)[:_MOST]
    rows = [_row(entry, entry["contribution"], entry["compared_with"], units) for entry in entries]
    chart = _against_nought(rows, "points of harshness, of 10")
    return titled(chart, batch_title(data), "Against your smooth batches. Bar: 9 in 10.")


def _row(entry: dict, estimate: Estimate, detail: str, units: Units) -> dict:
    return {
        "factor": factor_name(entry["factor"]),
        "points": estimate["value"],
        "low": estimate["low"],
        "high": estimate["high"],
        "direction": _direction(estimate),
        "shown": measure_of("points", units).difference().full(estimate),
        "detail": units.told(detail),
    }


def _direction(estimate: Estimate) -> str:
    if not is_apart(estimate):
        return _DIRECTIONS[2]
    return _DIRECTIONS[0] if estimate["value"] > 0 else _DIRECTIONS[1]


def _against_nought(rows: list[dict], axis: str) -> alt.LayerChart:
    frame = pl.DataFrame(
        rows,
        schema={
            "factor": pl.String,
            "points": pl.Float64,
            "low": pl.Float64,
            "high": pl.Float64,
            "direction": pl.String,
            "shown": pl.String,
            "detail": pl.String,
        },
    )
    order = [row["factor"] for row in rows]
    base = alt.Chart(frame).encode(
        y=alt.Y("factor:N", sort=order, title=None, axis=alt.Axis(grid=False, labelLimit=150)),
        color=alt.Color("direction:N", scale=_COLOURS, legend=SOLID),
        tooltip=[
            alt.Tooltip("factor:N"),
            alt.Tooltip("shown:N", title="harshness"),
            alt.Tooltip("detail:N"),
        ],
    )
    nought = alt.Chart(pl.DataFrame({"nought": [0.0]})).mark_rule(color=BARK, strokeDash=[2, 4])
    return alt.LayerChart(
        layer=[
            nought.encode(x=alt.X("nought:Q")),
            base.mark_rule(size=3, opacity=0.5).encode(
                x=alt.X("low:Q", title=axis, axis=alt.Axis(tickCount=5)), x2=alt.X2("high:Q")
            ),
            base.mark_point(filled=True, size=110, opacity=1).encode(
                x=alt.X("points:Q"), shape=alt.Shape("direction:N", scale=_SHAPES)
            ),
        ]
    ).properties(height=STEP * max(len(rows), 1))
