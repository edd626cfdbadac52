"""What stands against a prediction is said in the maker's units and words, each default by name."""

import polars as pl
import pytest

from pipeline.advice.doubts import planned_doubts
from pipeline.advice.doubts.outside import outside_doubts
from pipeline.advice.doubts.taken import _sweetened, missing_doubts, unpriced_doubts
from pipeline.advice.own_units import days, mass, temperature, volume
from pipeline.advice.predict import planned
from pipeline.learning import fit_models
from pipeline.learning.forecast import forecast

POUND = 0.45359237
BATCHES = pl.DataFrame(
    {
        "target_volume_l": [4.0, 5.0],
        "fruit_load_kg_l": [0.2, 0.4],
        "contact_days": [4.0, 9.0],
        "sugar_kg": [0.8, 1.2],
        "tannin_added_g_l": [0.0, 0.2],
        "acid_added_g_l": [0.0, 3.0],
        "so2_added_mg_l": [0.0, 50.0],
        "must_temperature_mean_c": [18.0, 21.0],
    }
)
WITHIN = {
    "target_volume_l": 4.5,
    "fruit_load_kg_l": 0.3,
    "contact_days": 7.0,
    "sugar_kg": 0.99,
    "tannin_added_g_l": 0.1,
    "acid_added_g_l": 1.0,
    "so2_added_mg_l": 40.0,
    "must_l": 5.0,
    "ferment_temperature_c": 20.0,
}


def _said(change: dict, show: str = "metric") -> list[str]:
    return [doubt.text for doubt in outside_doubts(BATCHES, WITHIN | change, show)]


def test_a_recipe_like_the_batches_lies_within() -> None:
    assert _said({}) == []
    assert _said({"contact_days": 9.0, "fruit_load_kg_l": 0.4, "sugar_kg": 0.24 * 4.5}) == []
    assert _said({"tannin_added_g_l": None, "ferment_temperature_c": None}) == []


@pytest.mark.parametrize(
    ("change", "show", "text"),
    [
        (
            {"sugar_kg": 1.35},
            "metric",
            "1.35 kg of sugar for 4.5 L is more than any batch of yours "
            "(at most 1.08 kg for as much wine)",
        ),
        (
            {"sugar_kg": 2.9, "target_volume_l": 10.0, "fruit_load_kg_l": 0.3},
            "metric",
            "2.9 kg of sugar for 10 L is more than any batch of yours "
            "(at most 2.4 kg for as much wine)",
        ),
        (
            {"fruit_load_kg_l": 0.1},
            "imperial",
            "1 lb of fruit for 0.99 imp gal is less than any batch of yours "
            "(at least 2 lb for as much wine)",
        ),
        (
            {"contact_days": 12.0},
            "us",
            "12 days on the fruit is longer than any batch of yours (at most 9 days)",
        ),
        (
            {"tannin_added_g_l": 0.4},
            "imperial",
            "2 g of added tannin for 0.99 imp gal is more than any batch of yours "
            "(at most 1 g for as much wine)",
        ),
        (
            {"ferment_temperature_c": 25.0},
            "us",
            "77 °F in the must is warmer than any batch of yours (at most 70 °F)",
        ),
        (
            {"target_volume_l": 20.0, "sugar_kg": 4.4},
            "us",
            "5.28 US gal is larger than any batch of yours (at most 1.32 US gal)",
        ),
    ],
)
def test_what_lies_outside_is_said_in_the_makers_units(change: dict, show: str, text: str) -> None:
    assert text in _said(change, show)


@pytest.fixture(scope="module")
def said(cellar):
    models = fit_models(cellar)
    recipes = ["Bare", "Loose", "Plum"]
    plans, lines = planned(cellar, recipes), cellar.table("staged_recipes")
    expected = forecast(models, plans.musts, plans.must_fruits)

    def of(recipe: str) -> list[tuple[str, str]]:
        row = recipes.index(recipe)
        must = plans.musts.row(row, named=True)
        own = plans.must_fruits.filter(pl.col("must_id") == recipe)
        found = planned_doubts(
            cellar, models, expected, row, must, own, lines.filter(pl.col("recipe") == recipe)
        )
        return [(doubt.code, doubt.text) for doubt in found]

    return of


def test_each_default_that_is_taken_is_named(said) -> None:
    taken = " | ".join(text for code, text in said("Bare") if code == "default_value")
    for text in (
        "does not say the volume aimed at: 4 L, the mark",
        "does not say the yeast: an average one of yours is taken",
        "does not say how long the fruit stays in: your usual",
        "does not say skins on or off: your usual mix is taken",
        "does not say whether the fruit is whole, sliced or crushed",
        "does not say the fermenting temperature: an ordinary one is taken",
        "does not say how often it is racked: twice is taken",
        "does not say the age at tasting: 121 days, your usual, is taken",
        "how the fruit is pressed (your batches do not say either: an average way is taken)",
    ):
        assert text in taken, text


def test_what_a_recipe_says_is_not_called_a_default(said) -> None:
    taken = " | ".join(text for code, text in said("Plum") if code == "default_value")
    assert "how often it is racked" not in taken
    assert "how long the fruit stays in" not in taken
    assert "the yeast" not in taken
    assert "skins on or off" in taken


@pytest.mark.parametrize(("sugar", "count"), [(20.0, 1), (0.0, 0), (None, 0)])
def test_which_numbers_are_those_before_sweetening_is_said(sugar: float | None, count: int) -> None:
    found = [doubt.text for doubt in _sweetened({"sweeten_to_g_l": sugar})]
    assert len(found) == count
    assert all("are those before it is sweetened to 20 g/L" in text for text in found)


def test_few_batches_and_a_stranger_are_named(said) -> None:
    found = said("Bare")
    assert any(code == "few_batches" and "for taste" in text for code, text in found)
    assert (
        "outside_experience",
        "elderberry is in none of your batches: an average fruit speaks for it",
    ) in found


def test_what_cannot_be_known_names_the_line_and_what_to_do() -> None:
    lines = pl.DataFrame(
        {
            "line": [2, 3, 4],
            "kind": ["fruit", "nutrient", "yeast"],
            "ingredient": ["plum", "yeast nutrient", "Wherry"],
            "amount": ["2 kg", "2 packets", "1 packet"],
            "amount_kg": [2.0, None, None],
            "amount_l": pl.Series([None, None, None], dtype=pl.Float64),
        }
    )
    (doubt,) = missing_doubts({"unknown": ["ammonium_phosphate_g", "nitrogen_g"]}, lines)
    assert doubt.text == (
        "how much nitrogen for the yeast goes in is not known: nothing says what 'yeast nutrient' "
        "(2 packets, recipes.csv line 3) weighs; weigh it once and write that"
    )
    (doubt,) = missing_doubts({"unknown": ["sugar_g"]}, lines.head(1))
    assert "`hedgerow check` says which" in doubt.text
    assert missing_doubts({"unknown": []}, lines) == []


def test_what_has_no_price_counts_as_nothing_and_is_named() -> None:
    lines = pl.DataFrame(
        {
            "kind": ["fruit", "sugar", "water", "acid"],
            "ingredient": ["plum", "sugar", "water", "citric acid"],
            "cost": [2.0, None, None, None],
        }
    )
    (doubt,) = unpriced_doubts({"cost": 2.0}, lines)
    assert doubt.text == "no cost is written for sugar: counted as costing nothing"
    assert unpriced_doubts({"cost": None}, lines) == []
    assert unpriced_doubts({"cost": 2.0}, lines.head(1)) == []


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (mass(2.9, "metric"), "2.9 kg"),
        (mass(0.85, "metric"), "850 g"),
        (mass(0.0025, "imperial"), "2.5 g"),
        (mass(6.375 * POUND, "us"), "6 lb 6 oz"),
        (volume(10.0, "metric"), "10 L"),
        (volume(4.54609, "imperial"), "1 imp gal"),
        (volume(3.785, "us"), "1 US gal"),
        (temperature(20.0, "us"), "68 °F"),
        (temperature(20.0, "imperial"), "20 °C"),
        (days(1.2), "1 day"),
        (days(13.0), "13 days"),
    ],
)
def test_quantities_in_the_units_a_logbook_shows(text: str, wanted: str) -> None:
    assert text == wanted
