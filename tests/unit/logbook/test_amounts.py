"""What an amount weighs or measures, given what it is an amount of."""

from typing import Any

import polars as pl
import pytest

HEADING = "batch_id,added_on,kind,ingredient,amount\n"


def _added(read: Any, kind: str, ingredient: str, amount: str, toml: str = "") -> dict[str, Any]:
    rows = f'{HEADING}A1,2026-01-10,{kind},{ingredient},"{amount}"\n'
    checked = read(additions=rows, toml=f'gallon = "us"\n{toml}')
    errors = checked.problems.filter(pl.col("level") == "error")
    assert errors.is_empty(), errors
    row = checked.typed["additions"].row(0, named=True)
    return row | {"rules": set(checked.problems["rule"]) - {"raw-elder"}}


@pytest.mark.parametrize(
    ("kind", "ingredient", "amount", "kg", "litres", "error"),
    [
        ("fruit", "plum", "4 lb", 1.8143695, None, 0),
        ("fruit", "plum", "~2 kg", 2.0, None, 0.1),
        ("water", "water", "1 gal", None, 3.785412, 0),
        ("water", "water", "1 imp gal", None, 4.54609, 0),
        ("water", "water", "2 kg", None, 2.0036, 0),
        ("water", "water", "2 tbsp", None, 0.02957, 0.2),
        ("juice", "apple juice", "1 L", None, 1.0, 0),
        ("juice", "apple", "500 mL", None, 0.5, 0),
        ("sugar", "white sugar", "2 1/4 lb", 1.0205828, None, 0),
        ("sugar", "white sugar", "1¾ cups", 0.352, None, 0.2),
        ("honey", "honey", "1 kg", 1.0, None, 0),
        ("honey", "honey", "1 L", 1.42, None, 0),
        ("acid", "citric acid", "12 g", 0.012, None, 0),
        ("acid", "citric acid", "1 tsp", 0.0049, None, 0.2),
        ("nutrient", "diammonium phosphate", "1 1/2 tsp", 0.0069, None, 0.2),
        ("enzyme", "pectic enzyme", "1/2 tsp", 0.0016, None, 0.2),
        ("enzyme", "pectic enzyme", "~1/2 tsp", 0.0016, None, 0.2236),
        ("tannin", "tannin", "1/4 tsp", 0.00065, None, 0.2),
        ("sulphite", "potassium metabisulphite", "1/4 tsp", 0.0015, None, 0.2),
        ("sorbate", "potassium sorbate", "1 tbsp", 0.0087, None, 0.2),
        ("yeast", "Lantern", "5 g", 0.005, None, 0),
        ("yeast", "Lantern", "1 tsp", 0.004, None, 0.2),
        ("base", "chalk", "1 oz", 0.0283495, None, 0),
        ("other", "oak chips", "20 g", 0.02, None, 0),
        ("other", "vanilla essence", "5 mL", None, 0.005, 0),
    ],
)
def test_weights_and_volumes(
    read: Any, kind: str, ingredient: str, amount: str, kg: float, litres: float, error: float
) -> None:
    row = _added(read, kind, ingredient, amount)
    assert row["amount_kg"] == (kg if kg is None else pytest.approx(kg, rel=0.01))
    assert row["amount_l"] == (litres if litres is None else pytest.approx(litres, rel=1e-3))
    assert row["amount_error"] == pytest.approx(error, abs=1e-4)
    assert "weight-unknown" not in row["rules"]


def test_juice_by_weight_goes_by_its_density(read: Any) -> None:
    # 13.3 °Bx is the average apple juice of 19 CFR 151.91; sucrose of that strength is 1.0537 at
    # 20 °C in the published Brix table.
    row = _added(read, "juice", "apple juice", "10 kg")
    assert row["amount_l"] == pytest.approx(10 / 1.0537, rel=0.003)


@pytest.mark.parametrize(
    ("kind", "ingredient", "amount", "rule", "hint"),
    [
        ("fruit", "plum", "2 qt", "weight-unknown", "the weight"),
        ("fruit", "plum", "4 cups", "weight-unknown", "the weight"),
        ("other", "mixed spice", "1 tsp", "weight-unknown", "the weight"),
        ("fining", "magic clearer", "2 tsp", "weight-unknown", "the weight"),
        ("yeast", "Lantern", "1 packet", "packet-weight-unknown", '"yeast packet" = "5 g"'),
        ("sulphite", "sulphite", "2 tablets", "packet-weight-unknown", '"sulphite tablet"'),
        ("nutrient", "nutrient", "1 sachet", "packet-weight-unknown", '"nutrient packet"'),
    ],
)
def test_weights_that_would_have_to_be_guessed_stay_unknown(
    read: Any, kind: str, ingredient: str, amount: str, rule: str, hint: str
) -> None:
    checked = read(
        additions=f"{HEADING}A1,2026-01-10,{kind},{ingredient},{amount}\n", toml='gallon = "us"\n'
    )
    row = checked.typed["additions"].row(0, named=True)
    assert (row["amount_kg"], row["amount_l"]) == (None, None)
    warning = checked.problems.row(by_predicate=pl.col("rule") == rule, named=True)
    assert (warning["level"], warning["value"]) == ("warning", amount)
    assert hint in warning["hint"]


@pytest.mark.parametrize("amount", ["10 mL", "2 fl oz", "1 pt"])
def test_a_powder_by_volume_may_be_a_solution(read: Any, amount: str) -> None:
    row = _added(read, "sulphite", "potassium metabisulphite", amount)
    assert row["amount_kg"] is None
    assert row["amount_l"] is not None
    assert row["rules"] == {"powder-or-solution"}


@pytest.mark.parametrize(
    ("ingredient", "kind", "counts", "kg"),
    [
        ("Lantern", "yeast", '"yeast packet" = "5 g"', 0.005),
        ("Lantern", "yeast", '"Lantern packet" = "11 g"\n"yeast packet" = "5 g"', 0.011),
        ("sulphite", "sulphite", '"sulphite tablet" = "0.44 g"', 0.00044),
    ],
)
def test_pieces_weigh_what_the_settings_say(
    read: Any, ingredient: str, kind: str, counts: str, kg: float
) -> None:
    unit = "tablet" if kind == "sulphite" else "packet"
    row = _added(read, kind, ingredient, f"1 {unit}", f"[counts]\n{counts}\n")
    assert row["amount_kg"] == pytest.approx(kg)


@pytest.mark.parametrize(
    ("kind", "ingredient", "key"),
    [
        ("fruit", "Damsons", "damson"),
        ("fruit", "bananas", "banana"),
        ("fruit", "moonberry", None),
        ("juice", "apple juice", "apple"),
        ("sugar", "White  Sugar", "sugar, granulated"),
        ("nutrient", "DAP", "diammonium phosphate (DAP)"),
        ("yeast", "Lantern", "yeast, active dry"),
        ("water", "water", None),
        ("other", "oak chips", None),
    ],
)
def test_keys(read: Any, kind: str, ingredient: str, key: str | None) -> None:
    assert _added(read, kind, ingredient, "1 kg")["ingredient_key"] == key


@pytest.mark.parametrize(
    ("batch_gallon", "logbook_gallon", "litres"),
    [
        ("us", None, 3.785412),
        ("imperial", None, 4.54609),
        ("", "us", 3.785412),
        ("imperial", "us", 4.54609),
    ],
)
def test_the_batch_says_which_gallon_before_the_logbook(
    read: Any, batch_gallon: str, logbook_gallon: str | None, litres: float
) -> None:
    checked = read(
        toml=f'gallon = "{logbook_gallon}"\n' if logbook_gallon else "",
        batches=f"batch_id,started_on,gallon,target_volume\nA1,2026-01-10,{batch_gallon},1 gal\n",
        additions=f"{HEADING}A1,2026-01-10,water,water,1 gal\n",
        readings="batch_id,taken_on,volume\nA1,2026-01-11,1 gal\n",
        transfers="batch_id,moved_on,step,volume_after,topped_up\nA1,2026-01-20,rack,1 gal,1 gal\n",
    )
    assert checked.typed["batches"]["target_volume_l"].item() == pytest.approx(litres)
    assert checked.typed["batches"]["gallon"].item() == batch_gallon or logbook_gallon
    assert checked.typed["additions"]["amount_l"].item() == pytest.approx(litres)
    assert checked.typed["readings"]["volume_l"].item() == pytest.approx(litres)
    row = checked.typed["transfers"].row(0, named=True)
    assert (row["volume_after_l"], row["topped_up_l"]) == (pytest.approx(litres),) * 2


def test_a_gallon_that_nobody_names_is_refused_everywhere(read: Any) -> None:
    checked = read(
        additions=f"{HEADING}A1,2026-01-10,water,water,to 1 gal\n"
        "A1,2026-01-10,water,water,1 us gal\n",
        readings="batch_id,taken_on,volume\nA1,2026-01-11,1 qt\n",
    )
    errors = checked.problems.filter(level="error")
    assert errors["rule"].to_list() == ["which-gallon"] * 2
    assert errors["value"].to_list() == ["to 1 gal", "1 qt"]
    assert checked.typed["additions"]["amount_l"].to_list() == pytest.approx([3.785], abs=1e-3)


def test_a_gallon_that_a_recipe_misspells_is_no_gallon(read: Any) -> None:
    checked = read(
        recipes="recipe,day,kind,ingredient,amount,gallon\n"
        "plum,0,fruit,plum,2 kg,uk\nplum,0,water,water,1 gal,\n"
    )
    errors = checked.problems.filter(level="error").select("line", "rule").rows()
    assert errors == [(2, "choice"), (3, "which-gallon")]


def test_a_recipe_says_its_gallon_once_and_yeast_once(read: Any) -> None:
    checked = read(
        recipes="recipe,day,kind,ingredient,amount,gallon,yeast,target_volume\n"
        "plum,0,fruit,plum,2 kg,,,1 gal\n"
        "plum,0,water,water,1 gal,imperial,Lantern,\n"
        "pear,0,water,water,1 gal,us,,\n"
    )
    recipes = checked.typed["recipes"]
    assert recipes["gallon"].to_list() == ["imperial", "imperial", "us"]
    assert recipes["yeast"].to_list() == ["Lantern", "Lantern", None]
    assert recipes["target_volume_l"].to_list() == [4.54609, 4.54609, None]
    assert recipes["amount_l"].to_list() == [None, 4.54609, pytest.approx(3.785412)]
