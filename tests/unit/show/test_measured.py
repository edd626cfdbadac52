"""Amounts as a kitchen can measure them: rounded, never further out than the measure itself."""

import pytest

from pipeline.enology.units import KG_PER_OZ, LITRES
from pipeline.show.measured import dose, grams, liquid, millilitres, spoons, sugar, weight
from pipeline.show.units import NOT_KNOWN, Units

METRIC, US, IMPERIAL = Units("metric"), Units("us"), Units("imperial")


@pytest.mark.parametrize(
    ("kg", "units", "text"),
    [
        (1.3512, METRIC, "1.35 kg"),
        (0.1984, METRIC, "200 g"),
        (0.0042, US, "4.2 g"),
        (2.0412, US, "4 lb 8 oz"),
        (2.0553, IMPERIAL, "4 lb 8½ oz"),
        (1.8144, US, "4 lb"),
        (0.0992, US, "3½ oz"),
        (None, US, NOT_KNOWN),
        (float("nan"), METRIC, NOT_KNOWN),
    ],
)
def test_weights(kg, units, text):
    assert weight(kg, units) == text


@pytest.mark.parametrize(
    ("litres", "units", "text"),
    [
        (3.752, METRIC, "3.75 L"),
        (0.352, METRIC, "350 mL"),
        (0.0031, US, "3.1 mL"),
        (3.785411784, US, "1 US gal"),
        (4.54609 + 3 * 0.56826125 + 0.1136, IMPERIAL, "1 imp gal 3 pt 4 fl oz"),
        (None, US, NOT_KNOWN),
    ],
)
def test_volumes(litres, units, text):
    assert liquid(litres, units) == text


def test_a_volume_in_parts_is_within_half_a_fluid_ounce():
    for step in range(40, 900):
        litres = step / 100
        words = liquid(litres, IMPERIAL).replace("imp gal", "gal").replace("fl oz", "floz").split()
        sizes = {
            "gal": LITRES["imperial gallon"],
            "pt": LITRES["imperial pint"],
            "floz": LITRES["imperial fluid ounce"],
        }
        read = sum(int(n) * sizes[unit] for n, unit in zip(words[::2], words[1::2], strict=True))
        assert abs(read - litres) <= LITRES["imperial fluid ounce"] / 2 + 1e-9


@pytest.mark.parametrize(
    ("teaspoons", "text"),
    [
        (0.5, "½ tsp level, ± 20%"),
        (2.25, "2¼ tsp level, ± 20%"),
        (4.5, "1 tbsp + 1½ tsp level, ± 20%"),
        (3.0, "1 tbsp level, ± 20%"),
        (0.52, "½ tsp level, ± 20%"),
        (0.07, ""),  # the next spoon would be nearly twice the dose
        (0.19, ""),
        (13.0, ""),
        (None, ""),
    ],
)
def test_spoons_only_where_one_comes_near(teaspoons, text):
    assert spoons(teaspoons, 0.2) == text


def test_rounding_to_a_spoon_widens_its_error():
    assert spoons(0.46, 0.2) == "½ tsp level, ± 22%"


def test_sugar_in_grams_with_ounces_beside():
    assert sugar(0.085, US) == "85 g (3 oz)"
    assert sugar(0.040, US) == "40 g (1½ oz)"
    assert sugar(1.2, US) == "1.20 kg (2 lb 10½ oz)"
    assert sugar(0.085, METRIC) == "85 g"
    assert sugar(KG_PER_OZ / 4, US) == "7.1 g"


def test_small_numbers_keep_their_figures():
    assert [grams(x) for x in (0.204, 4.18, 52.4)] == ["0.20 g", "4.2 g", "52 g"]
    assert [millilitres(x) for x in (0.0, 2.04, 16.3, 352.0)] == [
        *("none", "2.0 mL", "16 mL", "350 mL"),
    ]


def _amount(value, low, high, spoon=None, solution=None):
    return {
        "additive": "x",
        "grams": {"value": value, "low": low, "high": high},
        "level_teaspoons": spoon,
        "teaspoon_error": 0.2,
        "solution_10_percent_ml": solution,
    }


def test_a_dose_in_every_way_that_serves():
    assert dose(_amount(0.2, 0.17, 0.24, None, 2.0)) == (
        "0.20 g (0.17 to 0.24), or 2.0 mL of a 10 % solution"
    )
    assert dose(_amount(9.8, 9.8, 9.8, 2.0, 98.0)) == "9.8 g, or 2 tsp level, ± 20%"
