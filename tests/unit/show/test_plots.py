"""Plots: valid Vega-Lite, the answer's numbers in them, names as typed, colour never alone."""

import json

import polars as pl
import pytest
from unit.show import samples

from pipeline.show import (
    plots_compare,
    plots_gravity,
    plots_harsh,
    plots_volume,
    plots_yeasts,
)
from pipeline.show.palette import (
    HARSHER,
    INK_DARK,
    INK_LIGHT,
    SERIES,
    SHAPES,
    SOFTER,
    inked,
    series_of,
)
from pipeline.show.theme import theme_options
from pipeline.show.units import Units

HOSTILE = "plum.[0] <script>alert('x')</script> \"q\" :N"
METRIC, US = Units(), Units(show="us")
BATCHES = pl.DataFrame(
    {
        "batch_id": ["1", "2", "3", "4"],
        "name": [HOSTILE, None, None, None],
        "main_fruit": ["rhubarb", "rhubarb", "rhubarb", "sloe"],
        "made": ["to_mark", "both", None, "to_mark"],
        "fruit_load_kg_l": [0.3, 0.4, None, 0.2],
        "finished_fraction_net": [0.7, 0.9, 0.8, 0.6],
    }
)
READINGS = pl.DataFrame({"day": [9.0, 0.0, 3.0], "gravity": [0.994, 1.084, None]})


def _rows(spec):
    return [row for rows in spec["datasets"].values() for row in rows]


def _charts():
    return [
        plots_volume.volume_curve(samples.VOLUME["fruits"][1], BATCHES, METRIC),
        plots_volume.fruit_yields(samples.VOLUME, METRIC),
        plots_yeasts.yeast_gravities(samples.YEASTS, METRIC),
        plots_yeasts.yeast_chances(samples.YEASTS),
        plots_harsh.harsh_drivers(samples.HARSH, METRIC),
        plots_harsh.harsh_reasons(samples.HARSH_BATCH, METRIC),
        plots_gravity.gravity_curve(READINGS, "1 Late plum", "stuck", (0.99, 1.1)),
        plots_compare.comparison(samples.COMPARE["rows"][2], samples.COMPARE["columns"], METRIC),
    ]


@pytest.mark.parametrize("chart", _charts())
def test_every_plot_is_valid_and_says_in_words_what_it_shows(chart):
    spec = chart.to_dict()  # validates against the Vega-Lite schema
    assert spec["title"]["text"]
    assert len(spec["description"]) > 10
    json.dumps(spec, allow_nan=False)


def test_volume_shows_the_batches_of_that_fruit_and_only_those_that_can_be_placed():
    chart = plots_volume.volume_curve(samples.VOLUME["fruits"][1], BATCHES, METRIC)
    batches = [row for row in _rows(chart.to_dict()) if "batch" in row]
    assert [(row["batch"], row["made"], round(row["share"])) for row in batches] == [
        ("1", "water up to the mark, fruit in it", 70),
        ("2", "as you made it", 90),
    ]


def test_volume_is_drawn_in_the_units_of_the_logbook():
    spec = plots_volume.volume_curve(samples.VOLUME["fruits"][1], BATCHES, US).to_dict()
    loads = [row["load"] for row in _rows(spec) if "load" in row]
    assert min(loads) == pytest.approx(0.1 / 0.45359237 * 3.785411784)
    assert "lb/US gal" in json.dumps(spec)


def test_the_own_mix_is_drawn_only_where_it_is_another_line():
    fruit = samples.VOLUME["fruits"][1]
    on_top = [point for point in fruit["curve"] if point["made"] == "on_top"]
    for shift, drawn in ((0.0, False), (0.05, True)):
        own = [
            {
                **point,
                "made": "as_logged",
                "finished_fraction": samples.estimate(
                    point["finished_fraction"]["value"] + shift, 0.1
                ),
            }
            for point in on_top
        ]
        doubled = fruit | {"curve": fruit["curve"] + own}
        rows = _rows(plots_volume.volume_curve(doubled, BATCHES.clear(), METRIC).to_dict())
        assert any(row.get("made") == "as you made it" for row in rows) is drawn


def test_volume_without_batches_or_curve_is_still_a_plot():
    fruit = samples.VOLUME["fruits"][1] | {"curve": []}
    assert plots_volume.volume_curve(fruit, BATCHES.clear(), METRIC).to_dict()


def test_what_cannot_be_told_from_nought_has_its_own_colour_and_shape():
    rows = _rows(plots_harsh.harsh_drivers(samples.HARSH, METRIC).to_dict())
    told = {row["factor"]: row["direction"] for row in rows if "factor" in row}
    assert told == {
        "the taster": "harsher",
        "skins left on": "harsher",
        "warm fermenting": "harsher",
        "sweetness left": "softer",
        "pectic enzyme": "cannot tell",
    }


def test_both_directions_of_a_pair_stand_in_the_table_of_chances():
    rows = _rows(plots_yeasts.yeast_chances(samples.YEASTS).to_dict())
    cells = {(row["row"], row["column"]): row["shown"] for row in rows}
    assert cells["Lantern", "Hollow Lane"] == "71"
    assert cells["Hollow Lane", "Lantern"] == "29"
    assert cells["Lantern", "Millrace"] == ">98"
    assert cells["Millrace", "Lantern"] == "<2"


def test_small_plots_share_one_gravity_range():
    assert plots_gravity.gravity_range(READINGS) == pytest.approx((0.986, 1.088))
    assert plots_gravity.gravity_range(READINGS.clear()) == pytest.approx((0.986, 1.104))
    spec = plots_gravity.gravity_curve(READINGS, "1", "", (0.99, 1.084)).to_dict()
    assert [row["day"] for row in _rows(spec) if "day" in row] == [0.0, 9.0]


def test_the_shelf_plots_what_ferments_or_stands_still():
    batches = pl.DataFrame(
        {
            "batch_id": ["1", "2", "3"],
            "name": ["Late plum", None, None],
            "state": ["stuck", "bottled", "fermenting"],
            "started_on": ["2026-01-01", "2026-02-01", "2026-03-01"],
            "last_gravity": [1.02, 0.994, None],
            "last_day": [40.0, 30.0, None],
            "gravities": [3, 1, None],
        }
    )
    readings = READINGS.with_columns(batch_id=pl.lit("1"))
    charts = plots_gravity.running_curves(batches, readings)
    assert [chart.to_dict()["title"]["text"] for chart in charts] == ["1 (Late plum)"]
    assert charts[0].to_dict()["title"]["subtitle"] == "stuck, 1.020 on day 40"


def test_text_on_plots_takes_the_ink_of_the_page():
    chart = plots_harsh.harsh_drivers(samples.HARSH, METRIC)
    for is_dark, ink in ((False, INK_LIGHT), (True, INK_DARK)):
        config = inked(chart, is_dark)["config"]
        assert config["axis"]["labelColor"] == ink
        assert config["title"]["subtitleColor"] == ink
        assert config["axis"]["domain"] is False  # what the plot set itself is kept


def test_only_measures_with_an_interval_are_plotted_side_by_side():
    load, _, volume, harshness = samples.COMPARE["rows"]
    columns = samples.COMPARE["columns"]
    assert plots_compare.comparison(load, columns, METRIC) is None
    assert plots_compare.comparison({**load, "values": ["on", None]}, columns, METRIC) is None
    names = [
        row["name"] for row in _rows(plots_compare.comparison(volume, columns, METRIC).to_dict())
    ]
    assert names == columns
    assert plots_compare.comparison(harshness, columns, METRIC) is not None


def test_hostile_names_stay_data():
    """A name may look like a field, a type or a tag; it must only ever be a value."""
    fruit = samples.VOLUME["fruits"][1] | {"fruit": HOSTILE}
    batches = BATCHES.with_columns(main_fruit=pl.lit(HOSTILE))
    yeasts = {
        "yeasts": [
            {**yeast, "yeast": yeast["yeast"] + HOSTILE} for yeast in samples.YEASTS["yeasts"]
        ],
        "pairs": [],
    }
    spec = plots_volume.volume_curve(fruit, batches, METRIC).to_dict()
    assert len([row for row in _rows(spec) if "batch" in row]) == 3
    for chart in (
        plots_volume.fruit_yields({"fruits": [fruit, fruit]}, METRIC),
        plots_yeasts.yeast_gravities(yeasts, METRIC),
        plots_compare.comparison(samples.COMPARE["rows"][2], [HOSTILE, "b"], METRIC),
        plots_gravity.gravity_curve(READINGS, HOSTILE, HOSTILE, (0.99, 1.1)),
    ):
        spec = chart.to_dict()
        fields = {
            encoding["field"]
            for layer in spec["layer"]
            for encoding in layer["encoding"].values()
            if isinstance(encoding, dict) and "field" in encoding
        }
        assert not any("plum" in field for field in fields)


def _luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one, other):
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("mode", ["light", "dark"])
@pytest.mark.parametrize("colour", [*SERIES, HARSHER, SOFTER])
def test_colours_stand_out_in_light_and_in_dark(colour, mode):
    """WCAG 2.2, success criterion 1.4.11: graphics need a contrast of 3:1."""
    assert _contrast(colour, theme_options()[f"theme.{mode}.backgroundColor"]) >= 3


@pytest.mark.parametrize(("mode", "ink"), [("light", INK_LIGHT), ("dark", INK_DARK)])
def test_text_stands_out_in_light_and_in_dark(mode, ink):
    """WCAG 2.2, success criterion 1.4.3: text needs a contrast of 4.5:1."""
    options = theme_options()
    background = options[f"theme.{mode}.backgroundColor"]
    assert _contrast(ink, background) >= 4.5
    assert _contrast(options[f"theme.{mode}.textColor"], background) >= 4.5
    assert _contrast(options[f"theme.{mode}.linkColor"], background) >= 4.5
    assert _contrast("#ffffff", options[f"theme.{mode}.primaryColor"]) >= 4.5


def test_every_series_has_a_shape_beside_its_colour():
    names = [str(n) for n in range(8)]
    colour, shape = (scale.to_dict() for scale in series_of(names))
    assert len(colour["range"]) == len(shape["range"]) == 8
    assert len(set(SHAPES)) == len(set(SERIES)) == 6
