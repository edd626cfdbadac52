"""Recipes or batches side by side: one small dot-plot a measure, with intervals."""

import altair as alt
import polars as pl

from pipeline.show.measures import Measure, measure_of
from pipeline.show.palette import STEP, series_of
from pipeline.show.units import Units

WIDTH = 290  # [px] one small plot: one fits a phone, three or four a laptop
_LABELS = 130  # [px] of it for the names


def comparison(row: dict, columns: list[str], units: Units) -> alt.LayerChart | None:
    """Plot one measure of every recipe or batch, with its interval.

    Parameters
    ----------
    row : dict
        One row of the answer of `compare`, or the same made from predictions.
    columns : list of str
        Names of the recipes or batches.
    units : Units
        The logbook's.

    Returns
    -------
    altair.LayerChart or None
        None where none of the values has an interval: what went in is known, not estimated.
    """
    measure = measure_of(row["measure"], units)
    points = [
        point
        for name, value in zip(columns, row["values"], strict=True)
        if (point := _point(name, value, measure)) is not None
    ]
    if not any(point["low"] < point["high"] for point in points):
        return None
    colour, shape = series_of(columns)
    base = alt.Chart(pl.DataFrame(points)).encode(
        y=alt.Y("name:N", sort=columns, title=None, axis=alt.Axis(grid=False, labelLimit=_LABELS)),
        color=alt.Color("name:N", scale=colour, legend=None),
        tooltip=[alt.Tooltip("name:N"), alt.Tooltip("shown:N", title=measure.name)],
    )
    axis = alt.Axis(tickCount=4, format=f".{measure.decimals}f" if measure.is_fixed else "~f")
    low = alt.X(
        "low:Q", title=measure.unit or None, scale=alt.Scale(zero=False, padding=8), axis=axis
    )
    chart = alt.LayerChart(
        layer=[
            base.mark_rule(size=3, opacity=0.5).encode(x=low, x2=alt.X2("high:Q")),
            base.mark_point(filled=True, size=90, opacity=1).encode(
                x=alt.X("value:Q"), shape=alt.Shape("name:N", scale=shape, legend=None)
            ),
        ]
    ).properties(height=STEP * len(columns), width=WIDTH - _LABELS)
    heading = alt.TitleParams(text=measure.name.capitalize(), anchor="start", fontSize=13)
    told = "; ".join(f"{point['name']} {point['shown']}" for point in points)
    return chart.properties(
        title=heading, description=f"{measure.name}: {told}", autosize="pad"
    ).configure_view(stroke=None)


def _point(name: str, value: object, measure: Measure) -> dict | None:
    if isinstance(value, bool) or not isinstance(value, (dict, int, float)):
        return None
    estimate = value if isinstance(value, dict) else {"value": value, "low": value, "high": value}
    if estimate["value"] is None:
        return None
    ends = {key: measure.convert(float(estimate[key])) for key in ("value", "low", "high")}
    return {"name": name, "shown": measure.full(value), **ends}


def comparisons(data: dict, units: Units) -> list[alt.LayerChart]:
    """Plot every measure of the answer of `compare` that has an interval."""
    charts = (comparison(row, data["columns"], units) for row in data["rows"])
    return [chart for chart in charts if chart is not None]
