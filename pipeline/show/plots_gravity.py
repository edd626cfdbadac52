"""Gravity against days, one small plot a batch, all on the same gravity scale."""

import altair as alt
import polars as pl

from pipeline.show.palette import BARK, SLOE
from pipeline.show.units import gravity
from pipeline.show.words_finish import finish_note
from pipeline.show.words_shelf import batch_title, curves_shown

WIDTH, HEIGHT = 230, 130  # [px] one small plot: one fits a phone, four a laptop

_MARGIN = 0.004  # gravity kept free above and below, so that no point is cut
_MOST_COURSES = 12
_FIRST_DAYS = 14.0  # the time scale of a batch that has only just begun

NOTHING_TO_COME = pl.DataFrame(schema=dict.fromkeys(("day", "gravity", "low", "high"), pl.Float64))


def gravity_range(readings: pl.DataFrame) -> tuple[float, float]:
    """Return the gravity range that all small plots share.

    Parameters
    ----------
    readings : polars.DataFrame
        The cellar's readings, of the batches that will be shown side by side.
    """
    known = readings["gravity"].drop_nulls()
    if known.is_empty():
        return 0.99 - _MARGIN, 1.1 + _MARGIN
    low, high = known.min(), known.max()
    assert isinstance(low, float)
    assert isinstance(high, float)
    return min(low, 0.99) - _MARGIN, max(high, 1.0) + _MARGIN


def gravity_curve(
    readings: pl.DataFrame,
    title: str,
    note: str,
    limits: tuple[float, float],
    to_come: pl.DataFrame = NOTHING_TO_COME,
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
    to_come : polars.DataFrame, optional
        ``day``, ``gravity``, ``low`` and ``high`` of what is expected from the last reading on.
    """
    frame = readings.filter(pl.col("gravity").is_not_null()).select("day", "gravity").sort("day")
    last = max(number for number in (*frame["day"], *to_come["day"], _FIRST_DAYS))
    days = alt.X(
        "day:Q",
        title="day",
        scale=alt.Scale(domain=[0, last], nice=False),
        axis=alt.Axis(tickCount=4, grid=False, format="d", titlePadding=2),
    )
    ahead = alt.Chart(to_come).encode(x=days)
    base = alt.Chart(frame).encode(
        x=days,
        y=_on_scale("gravity:Q", limits),
        tooltip=[alt.Tooltip("day:Q", format=".0f"), alt.Tooltip("gravity:Q", format=".3f")],
    )
    # The line of plain water: below it a wine counts as dry.
    water = alt.Chart(pl.DataFrame({"water": [1.0]})).mark_rule(color=BARK, strokeDash=[2, 4])
    chart = alt.LayerChart(
        layer=[
            water.encode(y=_on_scale("water:Q", limits)),
            # Of most batches nothing lies ahead, and what is empty would be read out as nothing.
            ahead.mark_area(color=SLOE, opacity=0.18, aria=False).encode(
                y=_on_scale("low:Q", limits), y2=alt.Y2("high:Q")
            ),
            ahead.mark_line(color=SLOE, size=2, strokeDash=[4, 3], aria=False).encode(
                y=_on_scale("gravity:Q", limits)
            ),
            base.mark_line(color=SLOE, size=2),
            base.mark_point(color=SLOE, filled=True, size=45, opacity=1),
        ]
    )
    heading = alt.TitleParams(
        text=title,
        subtitle=note,
        anchor="start",
        limit=WIDTH,
        fontSize=13,
        subtitleFontSize=12,
        offset=6,
    )
    chart.title, chart.description = heading, f"{title}: {note}"
    chart.width, chart.height, chart.autosize = WIDTH, HEIGHT, "pad"
    chart.config = alt.Config(view=alt.ViewConfig(stroke=None))
    return chart


def _on_scale(field: str, limits: tuple[float, float]) -> alt.Y:
    return alt.Y(
        field,
        title=None,
        scale=alt.Scale(domain=limits, nice=False, zero=False),
        axis=alt.Axis(format=".3f", tickCount=4),
    )


def running_curves(batches: pl.DataFrame, readings: pl.DataFrame) -> list[alt.LayerChart]:
    """Plot the batches whose gravity is worth watching, those on the move first.

    Parameters
    ----------
    batches, readings : polars.DataFrame
        The cellar's.
    """
    watched = curves_shown(batches)
    shown = readings.filter(pl.col("batch_id").is_in(watched["batch_id"].to_list()))
    limits = gravity_range(shown)
    return [
        gravity_curve(
            shown.filter(pl.col("batch_id") == row["batch_id"]),
            batch_title(row),
            f"{row['state']}, {gravity(row['last_gravity'])} on day {row['last_day']:.0f}",
            limits,
        )
        for row in watched.iter_rows(named=True)
    ]


def courses_to_come(
    found: dict, batches: pl.DataFrame, readings: pl.DataFrame
) -> list[alt.LayerChart]:
    """Plot the running batches with the gravities that are expected of them.

    Parameters
    ----------
    found : dict
        An answer of `pipeline.advice.finish`.
    batches, readings : polars.DataFrame
        The cellar's.
    """
    shown = found["batches"][:_MOST_COURSES]
    ids = [one["batch"] for one in shown]
    known = readings.filter(pl.col("batch_id").is_in(ids))
    limits = gravity_range(known)
    titles = {row["batch_id"]: batch_title(row) for row in batches.iter_rows(named=True)}
    return [
        gravity_curve(
            known.filter(pl.col("batch_id") == one["batch"]),
            titles[one["batch"]],
            finish_note(one),
            limits,
            _to_come(one["curve"]),
        )
        for one in shown
    ]


def _to_come(curve: list[dict]) -> pl.DataFrame:
    rows = [
        (point["day"], *(point["gravity"][part] for part in ("value", "low", "high")))
        for point in curve
    ]
    return pl.DataFrame(rows, schema=NOTHING_TO_COME.schema, orient="row")
