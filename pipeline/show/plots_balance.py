"""What one wine holds, each measure on a strip among the maker's other batches."""

from collections.abc import Mapping

import altair as alt
import polars as pl

from pipeline.advice.story import BALANCE
from pipeline.counts import counted
from pipeline.show.measures import Measure, measure_of
from pipeline.show.palette import BARK, HAW, SLOE
from pipeline.show.thinned import even_ranks
from pipeline.show.units import Units

WIDTH, HEIGHT = 250, 44  # [px] one strip: one fits a phone, three a laptop
_MOST_MARKS = 125  # of other batches on a strip: each is two pixels wide
OTHERS, NOW, WANTED = "your other batches", "this wine now", "as you want it"
_ROLES = (NOW, WANTED)
_COLOURS = alt.Scale(domain=_ROLES, range=[SLOE, HAW])
_SHAPES = alt.Scale(domain=_ROLES, range=["circle", "diamond"])


def balance_strips(
    batches: pl.DataFrame,
    batch_id: str,
    units: Units,
    wanted: Mapping[str, float] | None = None,
) -> list[alt.LayerChart]:
    """Plot what a batch holds among the others, one strip a measure that is known of it.

    Parameters
    ----------
    batches : polars.DataFrame
        The cellar's.
    batch_id : str
        The batch.
    units : Units
        The logbook's.
    wanted : mapping of str to float, optional
        What it is to hold, by the cellar's names of `BALANCE`.
    """
    aims = wanted or {}
    own = batches.filter(pl.col("batch_id") == batch_id)
    other = batches.filter((pl.col("batch_id") != batch_id) & (pl.col("state") != "lost"))
    return [
        _strip(measure_of(name, units), other[name].drop_nulls(), own[name].item(0), aims.get(name))
        for name in BALANCE
        if own[name].item(0) is not None
    ]


def _strip(measure: Measure, others: pl.Series, now: float, wanted: float | None) -> alt.LayerChart:
    shown = others.sort().gather(even_ranks(len(others), _MOST_MARKS))
    values = [measure.convert(value) for value in shown]
    points = [(NOW, now)] + ([] if wanted is None else [(WANTED, wanted)])
    told = pl.DataFrame(
        {
            "value": [measure.convert(value) for _, value in points],
            "role": [role for role, _ in points],
            "shown": [measure.write(value) for _, value in points],
        }
    )
    place = alt.X(
        "value:Q",
        title=None,
        scale=alt.Scale(zero=False, nice=True),
        axis=alt.Axis(tickCount=5, grid=False),
    )
    spread = alt.Chart(pl.DataFrame({"value": pl.Series(values, dtype=pl.Float64)}))
    marks = alt.Chart(told).encode(
        x=place,
        color=alt.Color("role:N", scale=_COLOURS, legend=None),
        tooltip=[alt.Tooltip("role:N"), alt.Tooltip("shown:N", title=measure.name)],
    )
    shape = alt.Shape("role:N", scale=_SHAPES, legend=None)
    chart = alt.LayerChart(
        layer=[
            spread.mark_tick(color=BARK, opacity=0.4, size=16, thickness=1.5).encode(x=place),
            marks.mark_point(filled=True, size=130, opacity=1).encode(shape=shape),
        ]
    )
    said = (
        measure.write(now) if wanted is None else f"{measure.write(now)} → {measure.write(wanted)}"
    )
    heading = alt.TitleParams(
        text=f"{measure.name}: {said}", anchor="start", fontSize=13, offset=6, limit=WIDTH
    )
    words = (
        f"{measure.name}: {said}; {counted(len(others), 'other batch', 'other batches')} beside it"
    )
    return chart.properties(
        title=heading, description=words, width=WIDTH, height=HEIGHT, autosize="pad"
    ).configure_view(stroke=None)
