"""The look of plots and page: quiet colours that hold on light and dark, each with a shape.

Every colour has a contrast of at least 3:1 against both backgrounds below; the first three stay
apart under the common forms of colour blindness, and a shape or a dash says the same again.
"""

import textwrap
from typing import TypeVar

import altair as alt
from altair.utils import schemapi

SLOE, HAW, LEAF, STRAW, PLUM, BARK = (
    "#4a78b5",
    "#c2623f",
    "#3f8f73",
    "#a98520",
    "#a0609a",
    "#83766a",
)
SERIES = (SLOE, HAW, LEAF, STRAW, PLUM, BARK)
SHAPES = ("circle", "square", "triangle-up", "diamond", "cross", "triangle-down")
DASHES = ([1, 0], [6, 3], [2, 2])

# Text on plots: a contrast of at least 4.5:1 on the page's background by day and by night.
INK_LIGHT, INK_DARK = "#4d4a45", "#c9c5bb"

# Against nought: what makes a wine harsher, softer, or cannot be told.
HARSHER, SOFTER, UNTOLD = HAW, SLOE, BARK

_LINE_LETTERS = 44  # a title line that fits a phone
_Chart = TypeVar("_Chart", alt.Chart, alt.LayerChart)
STEP = 30  # pixels a row of a dot-plot takes
SOLID = alt.Legend(symbolOpacity=1)  # a legend as dark as the marks, whatever is drawn pale

# The tests hold each plot against the schema; each part of each plot on every page would only take
# time.
schemapi.disable_debug_mode()


def titled(chart: _Chart, title: str, note: str = "") -> _Chart:
    """Put a chart under a title that states its answer, broken to fit a phone, and return it.

    Parameters
    ----------
    chart : altair.Chart or altair.LayerChart
        The plot.
    title : str
        What it shows, as a sentence.
    note : str
        How to read it, one sentence.
    """
    heading = alt.TitleParams(
        text=textwrap.wrap(title, _LINE_LETTERS) or [""],
        subtitle=textwrap.wrap(note, _LINE_LETTERS + 10),
        anchor="start",
        fontSize=14,
        fontWeight=600,
        subtitleFontSize=12,
        offset=12,
    )
    # Set in place: `properties` and `configure_axis` copy every layer anew, which takes longer than
    # all else in making a plot.
    chart.title = heading
    chart.description = f"{title} {note}".strip()
    # The width follows the page; the height stays that of the plot itself.
    chart.autosize = alt.AutoSizeParams(type="fit-x", contains="padding")
    chart.config = alt.Config(
        view=alt.ViewConfig(stroke=None),
        axis=alt.AxisConfig(grid=True, gridOpacity=0.35, domain=False, tickSize=0, labelPadding=6),
        legend=alt.LegendConfig(orient="bottom", direction="vertical", title=None, labelLimit=300),
    )
    return chart


def series_of(names: list[str]) -> tuple[alt.Scale, alt.Scale]:
    """Return the colour scale and the shape scale of named series, in that order."""
    repeats = -(-len(names) // len(SERIES))
    colours = list((SERIES * repeats)[: len(names)])
    shapes = list((SHAPES * repeats)[: len(names)])
    return alt.Scale(domain=names, range=colours), alt.Scale(domain=names, range=shapes)


def inked(chart: alt.LayerChart, is_dark: bool) -> dict:
    """Return the Vega-Lite specification with its text in a colour that reads on the page.

    Parameters
    ----------
    chart : altair.LayerChart
        The plot.
    is_dark : bool
        Whether it stands on the dark background.
    """
    ink = INK_DARK if is_dark else INK_LIGHT
    spec = chart.to_dict(validate=False)
    config = spec.setdefault("config", {})
    for part, names in (
        ("axis", ("labelColor", "titleColor")),
        ("legend", ("labelColor", "titleColor")),
        ("title", ("color", "subtitleColor")),
    ):
        config.setdefault(part, {}).update(dict.fromkeys(names, ink))
    return spec
