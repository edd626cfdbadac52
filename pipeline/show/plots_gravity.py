"""Gravity against days, one small plot a batch, all on the same gravity scale."""

import altair as alt
import polars as pl

from pipeline.show.palette import BARK, SLOE

WIDTH, HEIGHT = 230, 130  # [px] one small plot: one fits a phone, four a laptop


def gravity_range(readings: pl.DataFrame) -> tuple[float, float]:
    """Return the gravity range that all small plots share.

    Parameters
    ----------
    readings : polars.DataFrame
        The cellar's readings, of the batches that will be shown side by side.
    """
    known = readings["gravity"].drop_nulls()
    if known.is_empty():
        return 0.99, 1.1
    low, high = known.min(), known.max()
    assert isinstance(low, float)
    assert isinstance(high, float)
    return min(low, 0.99), max(high, 1.0)


def gravity_curve(
    readings: pl.DataFrame, title: str, note: str, limits: tuple[float, float]
) -> alt.LayerChart:
    """Plot one batch's gravity over its days.

    Parameters
    ----------
    readings : polars.DataFrame
        The cellar's readings of this batch.
    title, note : str
        What the batch is called, and what is said of it.
    limits : tuple of float
        Gravity range, from `gravity_range`.
    """
    frame = readings.filter(pl.col("gravity").is_not_null()).select("day", "gravity").sort("day")
    base = alt.Chart(frame).encode(
        x=alt.X("day:Q", title="days", axis=alt.Axis(tickCount=4, grid=False)),
        y=_on_scale("gravity:Q", limits),
        tooltip=[alt.Tooltip("day:Q", format=".0f"), alt.Tooltip("gravity:Q", format=".3f")],
    )
    # The line of plain water: below it a wine counts as dry.
    water = alt.Chart(pl.DataFrame({"water": [1.0]})).mark_rule(color=BARK, strokeDash=[2, 4])
    chart = alt.LayerChart(
        layer=[
            water.encode(y=_on_scale("water:Q", limits)),
            base.mark_line(color=SLOE, size=2),
            base.mark_point(color=SLOE, filled=True, size=45, opacity=1),
        ]
    )
    heading = alt.TitleParams(
        text=title, subtitle=note, anchor="start", limit=WIDTH, fontSize=13, offset=6
    )
    return chart.properties(
        title=heading, description=f"{title}: {note}", width=WIDTH, height=HEIGHT
    ).configure_view(stroke=None)


def _on_scale(field: str, limits: tuple[float, float]) -> alt.Y:
    return alt.Y(
        field,
        title=None,
        scale=alt.Scale(domain=limits, nice=False, zero=False),
        axis=alt.Axis(format=".3f", tickCount=4),
    )
