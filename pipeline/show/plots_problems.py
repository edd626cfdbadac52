"""What the logs got wrong: how often each fault was met, rows set aside before the others."""

import altair as alt
import polars as pl

from pipeline.show.palette import HAW, SLOE, SOLID, STEP, STRAW, titled
from pipeline.show.words_problems import LEVEL_WORDS, counts_title

_LEVELS = list(LEVEL_WORDS.values())
_COLOURS = alt.Scale(domain=_LEVELS, range=[HAW, STRAW, SLOE])
_SHAPES = alt.Scale(domain=_LEVELS, range=["triangle-up", "diamond", "circle"])
_MOST = 14  # faults shown; the table has them all


def fault_plot(counts: pl.DataFrame) -> alt.LayerChart:
    """Plot how often each fault was met.

    Parameters
    ----------
    counts : polars.DataFrame
        As `words_problems.fault_counts` gives them.
    """
    shown = counts.head(_MOST)
    base = alt.Chart(shown).encode(
        y=alt.Y(
            "fault:N",
            sort=shown["fault"].unique(maintain_order=True).to_list(),
            title=None,
            axis=alt.Axis(grid=False, labelLimit=180),
        ),
        color=alt.Color("level:N", scale=_COLOURS, legend=SOLID),
        tooltip=[
            alt.Tooltip("fault:N"),
            alt.Tooltip("level:N"),
            alt.Tooltip("times:Q", title="cells"),
        ],
    )
    times = alt.X("times:Q", title="cells", axis=alt.Axis(format="d", tickMinStep=1, tickCount=5))
    chart = alt.LayerChart(
        layer=[
            base.mark_rule(size=3, opacity=0.5).encode(
                x=alt.X("nought:Q", title="cells"), x2=alt.X2("times:Q")
            ),
            base.mark_text(align="left", dx=11, fontSize=12).encode(
                x=times, text=alt.Text("times:Q")
            ),
            base.mark_point(filled=True, size=110, opacity=1).encode(
                x=times, shape=alt.Shape("level:N", scale=_SHAPES)
            ),
        ]
    ).transform_calculate(nought="0")
    return titled(
        chart.properties(height=STEP * shown["fault"].n_unique()),
        counts_title(counts),
        "Each cell that something is said about, by what is said.",
    )
