"""One batch's plots: its gravity with what was done to it, its volume, its glasses."""

import altair as alt
import polars as pl

from pipeline.show.palette import (
    BARK,
    HAW,
    LEAF,
    PLUM,
    SLOE,
    SOLID,
    STEP,
    STRAW,
    series_of,
    titled,
)
from pipeline.show.plots_gravity import gravity_range
from pipeline.show.units import Units

_DONE = {
    "added": (LEAF, "triangle-up"),
    "fruit out": (HAW, "triangle-down"),
    "strained": (HAW, "cross"),
    "racked": (STRAW, "square"),
    "chilled": (SLOE, "diamond"),
    "bottled": (PLUM, "circle"),
}
_HEIGHT = 230  # [px]
_INTENSITIES = ("sweetness", "sourness", "astringency", "bitterness", "warmth", "body", "fruit")
# Most happens in the first weeks, and the last bottle is opened after years.
_DAYS = alt.Scale(type="sqrt", nice=False, zero=True)


def gravity_story(readings: pl.DataFrame, done: pl.DataFrame, title: str) -> alt.LayerChart:
    """Plot a batch's gravity over its days, with what was done to it along the foot.

    Parameters
    ----------
    readings : polars.DataFrame
        The cellar's readings of this batch.
    done : polars.DataFrame
        As `story.events` gives it.
    title : str
        What the plot shows, as a sentence.
    """
    known = readings.filter(pl.col("gravity").is_not_null()).select("day", "gravity").sort("day")
    low, high = gravity_range(known)
    # Nothing is done before the start but the plot; a day early counts as the first.
    met = [one for one in _DONE if one in set(done["what"])]
    shapes = [_DONE[one][1] for one in met]
    foot = done.with_columns(day=pl.col("day").clip(lower_bound=0.0), foot=pl.lit(low))
    days = alt.X(
        "day:Q",
        title="day since the start (later days stand closer)",
        scale=_DAYS,
        axis=alt.Axis(format="d", grid=False, values=[0, 5, 10, 20, 40, 80, 160, 320, 640, 1280]),
    )
    height = alt.Scale(domain=(low - 0.004, high), nice=False, zero=False)
    axis = alt.Axis(format=".3f", tickCount=5)
    base = alt.Chart(known.with_columns(day=pl.col("day").clip(lower_bound=0.0))).encode(
        x=days,
        y=alt.Y("gravity:Q", title="gravity", scale=height, axis=axis),
        tooltip=[alt.Tooltip("day:Q", format=".0f"), alt.Tooltip("gravity:Q", format=".3f")],
    )
    marks = alt.Chart(foot).encode(
        x=days,
        color=alt.Color(
            "what:N",
            scale=alt.Scale(domain=met, range=[_DONE[one][0] for one in met]),
            legend=SOLID,
        ),
        tooltip=[
            alt.Tooltip("day:Q", format=".0f"),
            alt.Tooltip("what:N"),
            alt.Tooltip("told:N", title="which"),
        ],
    )
    water = alt.Chart(pl.DataFrame({"water": [1.0]})).mark_rule(color=BARK, strokeDash=[2, 4])
    chart = alt.LayerChart(
        layer=[
            marks.mark_rule(opacity=0.25, strokeDash=[2, 3]),
            water.encode(y=alt.Y("water:Q", title="gravity", scale=height, axis=axis)),
            base.mark_line(color=SLOE, size=2),
            base.mark_point(color=SLOE, filled=True, size=55, opacity=1),
            marks.mark_point(filled=True, size=90, opacity=1).encode(
                y=alt.Y("foot:Q", title="gravity", scale=height, axis=axis),
                shape=alt.Shape("what:N", scale=alt.Scale(domain=met, range=shapes)),
            ),
        ]
    )
    note = "Along the foot: what was done. The dotted line is plain water."
    return titled(chart.properties(height=_HEIGHT), title, note)


def volume_stages(
    found: pl.DataFrame, target_l: float | None, units: Units, title: str
) -> alt.LayerChart:
    """Plot how much there was at each stage, with the volume aimed at.

    Parameters
    ----------
    found : polars.DataFrame
        As `story.volumes` gives it.
    target_l : float or None
        Volume aimed at [L].
    units : Units
        The logbook's.
    title : str
        What the plot shows, as a sentence.
    """
    kinds = ("measured", "worked out")
    order = [f"{at}. {stage}" for at, stage in enumerate(found["stage"], start=1)]
    rows = pl.DataFrame(
        {
            "stage": order,
            "volume": [units.volume_number(value) for value in found["volume_l"]],
            "known": [kinds[0] if measured else kinds[1] for measured in found["is_measured"]],
            "shown": [units.volume(value) for value in found["volume_l"]],
        }
    )
    base = alt.Chart(rows).encode(
        y=alt.Y("stage:N", sort=order, title=None, axis=alt.Axis(grid=False)),
        x=alt.X("volume:Q", title=units.volume_unit, scale=alt.Scale(zero=True)),
        color=alt.Color("known:N", scale=alt.Scale(domain=kinds, range=[SLOE, BARK]), legend=SOLID),
        tooltip=[
            alt.Tooltip("stage:N"),
            alt.Tooltip("known:N"),
            alt.Tooltip("shown:N", title="volume"),
        ],
    )
    layers = [
        base.mark_bar(height=4, opacity=0.5),
        base.mark_point(filled=True, size=110, opacity=1).encode(
            shape=alt.Shape("known:N", scale=alt.Scale(domain=kinds, range=["circle", "diamond"]))
        ),
    ]
    if target_l:
        aim = pl.DataFrame({"volume": [units.volume_number(target_l)]})
        layers.insert(
            0, alt.Chart(aim).mark_rule(color=HAW, strokeDash=[6, 3]).encode(x=alt.X("volume:Q"))
        )
    chart = alt.LayerChart(layer=layers).properties(height=STEP * rows.height)
    return titled(chart, title, "The dashed line is the volume aimed at." if target_l else "")


def glasses_plot(glasses: pl.DataFrame, title: str) -> alt.LayerChart | None:
    """Plot how strong each taster found what; None if nothing was scored from 0 to 10.

    Parameters
    ----------
    glasses : polars.DataFrame
        The cellar's glasses of this batch.
    title : str
        What the plot shows, as a sentence.
    """
    long = (
        glasses.with_columns(
            taster=pl.col("taster").fill_null("not named"),
            date=pl.col("tasted_on").cast(pl.String),
            glass=pl.when(pl.col("sweetened_to_g_l").is_null())
            .then(pl.lit("as it is"))
            .otherwise(pl.lit("sweetened")),
        )
        .unpivot(
            on=_INTENSITIES,
            index=["taster", "date", "glass"],
            variable_name="what",
            value_name="strength",
        )
        .drop_nulls("strength")
    )
    if long.is_empty():
        return None
    tasters = long["taster"].unique(maintain_order=True).to_list()
    colour, shape = series_of(tasters)
    chart = alt.Chart(long).encode(
        y=alt.Y("what:N", sort=list(_INTENSITIES), title=None),
        x=alt.X("strength:Q", title="0 none to 10 very strong", scale=alt.Scale(domain=(0, 10))),
        color=alt.Color("taster:N", scale=colour),
        shape=alt.Shape("taster:N", scale=shape),
        tooltip=[
            alt.Tooltip("taster:N"),
            alt.Tooltip("what:N"),
            alt.Tooltip("strength:Q"),
            alt.Tooltip("date:N"),
            alt.Tooltip("glass:N"),
        ],
    )
    drawn = alt.LayerChart(layer=[chart.mark_point(filled=True, size=90, opacity=0.9)])
    return titled(drawn.properties(height=STEP * len(_INTENSITIES)), title)
