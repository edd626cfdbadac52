"""Finished volume against fruit load, and what each fruit adds: answer to plot."""

import altair as alt
import polars as pl

from pipeline.show.measures import measure_of
from pipeline.show.palette import BARK, DASHES, HAW, SLOE, SOLID, STEP, series_of, titled
from pipeline.show.thinned import even_ranks
from pipeline.show.units import Units
from pipeline.show.words_volume import FULL_SHARE, MADE, fruit_title

_MOST_POINTS = 300  # batches of a fruit: more lie on each other and are slow to draw
_SAME_SHARE = 0.01  # of the target: nearer than that two lines lie on each other


def volume_curve(fruit: dict, batches: pl.DataFrame, units: Units) -> alt.LayerChart:
    """Plot one fruit's finished volume against its load, each way of making, with its batches.

    Parameters
    ----------
    fruit : dict
        One entry of the answer of `volume`.
    batches : polars.DataFrame
        The cellar's batches.
    units : Units
        The logbook's.
    """
    curves, known = _curves(fruit, units), _points(fruit["fruit"], batches, units)
    points = known.sort("load")[even_ranks(known.height, _MOST_POINTS)]
    some = "" if points.height == known.height else f"{points.height} of "
    ways = [name for name in MADE.values() if name in set(curves["made"]) | set(points["made"])]
    colour, shape = series_of(ways)
    dash = alt.Scale(domain=ways, range=list(DASHES[: len(ways)]))
    load = alt.X(
        "load:Q",
        title=f"fruit load, {units.load_unit} of volume aimed at",
        axis=alt.Axis(tickCount=8),
    )
    share = alt.Y(
        "share:Q", title="finished wine, % of volume aimed at", scale=alt.Scale(zero=False)
    )
    made = alt.Color("made:N", scale=colour, legend=SOLID)
    base = alt.Chart(curves).encode(x=load, color=made)
    dots = alt.Chart(points).encode(
        x=load,
        y=share,
        color=made,
        shape=alt.Shape("made:N", scale=shape),
        tooltip=[
            alt.Tooltip("batch:N"),
            alt.Tooltip("name:N"),
            alt.Tooltip("share:Q", format=".0f", title="% of aim"),
        ],
    )
    full = alt.Chart(pl.DataFrame({"full": [100 * FULL_SHARE]})).encode(y=alt.Y("full:Q"))
    chart = alt.LayerChart(
        layer=[
            base.mark_area(opacity=0.14).encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
            full.mark_rule(strokeDash=[2, 4], color=BARK, size=1.5),
            base.mark_line(size=2.5).encode(
                y=share, strokeDash=alt.StrokeDash("made:N", scale=dash, legend=None)
            ),
            dots.mark_point(filled=True, size=70, opacity=0.85),
        ]
    ).properties(height=340)
    note = (
        f"Band: nine in ten new batches. Dotted: a full vessel, {100 * FULL_SHARE:.0f} % of the "
        f"aim. Points: {some}your batches, topping up left out."
    )
    return titled(chart, fruit_title(fruit, units), note)


def _curves(fruit: dict, units: Units) -> pl.DataFrame:
    return pl.DataFrame(
        [
            {
                "made": MADE[point["made"]],
                "load": units.load_number(point["fruit_load"]),
                "share": 100 * point["finished_fraction"]["value"],
                "low": 100 * point["finished_fraction"]["low"],
                "high": 100 * point["finished_fraction"]["high"],
            }
            for point in _told_apart(fruit["curve"])
        ],
        schema={
            "made": pl.String,
            "load": pl.Float64,
            "share": pl.Float64,
            "low": pl.Float64,
            "high": pl.Float64,
        },
    )


def _told_apart(curve: list[dict]) -> list[dict]:
    """Return the curve without the logbook's own mix where that is one of the two ways.

    Most fruits are always made one way; the same line twice would only hide a colour.
    """
    by_way: dict[str, list[float]] = {}
    for point in curve:
        by_way.setdefault(point["made"], []).append(point["finished_fraction"]["value"])
    own = by_way.get("as_logged", [])
    is_double = any(
        len(own) == len(other)
        and all(abs(a - b) < _SAME_SHARE for a, b in zip(own, other, strict=True))
        for way, other in by_way.items()
        if way != "as_logged"
    )
    return [point for point in curve if not (is_double and point["made"] == "as_logged")]


def _points(fruit: str, batches: pl.DataFrame, units: Units) -> pl.DataFrame:
    known = batches.filter(
        pl.col("main_fruit") == fruit,
        pl.col("fruit_load_kg_l").is_not_null(),
        pl.col("finished_fraction_net").is_not_null(),
    )
    return known.select(
        pl.col("batch_id").alias("batch"),
        "name",
        pl.col("made").replace_strict(MADE, default=MADE["as_logged"]).alias("made"),
        (pl.col("fruit_load_kg_l") * units.load_number(1.0)).alias("load"),
        (100 * pl.col("finished_fraction_net")).alias("share"),
    )


def fruit_yields(data: dict, units: Units) -> alt.LayerChart:
    """Plot what each fruit adds to what is strained off, with its interval, most first."""
    measure = measure_of("litres_per_kg", units)
    frame = pl.DataFrame(
        [
            {
                "fruit": fruit["fruit"],
                "batches": fruit["batches"],
                "adds": measure.convert(fruit["litres_per_kg"]["value"]),
                "low": measure.convert(fruit["litres_per_kg"]["low"]),
                "high": measure.convert(fruit["litres_per_kg"]["high"]),
                "shown": measure.full(fruit["litres_per_kg"]),
            }
            for fruit in data["fruits"]
        ]
    ).sort("adds", descending=True)
    order = frame["fruit"].to_list()
    base = alt.Chart(frame).encode(
        y=alt.Y("fruit:N", sort=order, title=None, axis=alt.Axis(grid=False, labelLimit=120)),
        tooltip=[
            alt.Tooltip("fruit:N"),
            alt.Tooltip("batches:Q"),
            alt.Tooltip("shown:N", title="adds"),
        ],
    )
    title = f"{measure.unit} added to what is strained off, for each {units.mass_unit}"
    nought = alt.Chart(pl.DataFrame({"nought": [0.0]})).mark_rule(color=BARK, strokeDash=[2, 4])
    chart = alt.LayerChart(
        layer=[
            nought.encode(x=alt.X("nought:Q")),
            base.mark_rule(size=3, color=SLOE, opacity=0.45).encode(
                x=alt.X("low:Q", title=title), x2=alt.X2("high:Q")
            ),
            base.mark_point(filled=True, size=70, color=SLOE, opacity=1).encode(x=alt.X("adds:Q")),
        ]
    ).properties(height=STEP * max(frame.height, 1))
    first, last = order[0], order[-1]
    told = f"{first.capitalize()} gives most and {last} least." if len(order) > 1 else ""
    return titled(chart, told, "Bar: where the mean lies, nine times in ten.")


def planned_volume(found: dict, units: Units) -> alt.LayerChart:
    """Plot what other measures of water would give, with the one chosen.

    Parameters
    ----------
    found : dict
        An answer of `pipeline.advice.planner`.
    units : Units
        The logbook's.
    """
    points = [*found["curve"], {name: found[name] for name in ("water_l", "finished_volume")}]
    frame = pl.DataFrame(
        [
            {
                "water": units.volume_number(point["water_l"]),
                **{
                    part: units.volume_number(point["finished_volume"][part])
                    for part in ("value", "low", "high")
                },
            }
            for point in points
        ]
    )
    water = alt.X(
        "water:Q",
        title=f"water beside the fruit, {units.volume_unit}",
        scale=alt.Scale(zero=False, nice=False),
    )
    wine = alt.Y(
        "value:Q", title=f"finished wine, {units.volume_unit}", scale=alt.Scale(zero=False)
    )
    curve = alt.Chart(frame[:-1]).encode(x=water)
    aim = alt.Chart(pl.DataFrame({"aim": [units.volume_number(found["target_l"])]}))
    chosen = alt.Chart(frame[-1:]).encode(x=water)
    chart = alt.LayerChart(
        layer=[
            curve.mark_area(opacity=0.16, color=SLOE).encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
            aim.mark_rule(strokeDash=[2, 4], color=BARK, size=1.5).encode(y=alt.Y("aim:Q")),
            curve.mark_line(size=2.5, color=SLOE).encode(y=wine),
            chosen.mark_rule(size=2, color=HAW).encode(y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
            chosen.mark_point(filled=True, size=110, color=HAW, shape="diamond", opacity=1).encode(
                y=wine, tooltip=[alt.Tooltip("value:Q", format=".2f", title="finished wine")]
            ),
        ]
    ).properties(height=260)
    return titled(
        chart,
        "What more or less water would give.",
        "Band: nine in ten new batches. Dotted: the wine wanted. Diamond: as chosen.",
    )
