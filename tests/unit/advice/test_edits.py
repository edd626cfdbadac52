"""Changes to a recipe stay within what the logbook has seen and are written as makers write."""

import dataclasses

import polars as pl
import pytest

from pipeline.advice.edits import Edit, apply_edits, apply_sets
from pipeline.advice.edits.possible import possible_edits
from pipeline.advice.experience import RANGED, Experience, Powder, experience_of

POUND = 0.45359237
SEEN = Experience(
    ranges={
        "fruit_load_kg_l": (0.2, 0.5),
        "contact_days": (4.0, 11.0),
        "must_temperature_mean_c": (17.0, 21.0),
    },
    yeasts=("Lantern", "Millrace"),
    skins=frozenset({("damson", "on"), ("damson", "off")}),
    forms=frozenset({("crushed", False), ("crushed", True)}),
)


@pytest.fixture
def lines() -> pl.DataFrame:
    fruit = {
        "line": 2,
        "kind": "fruit",
        "ingredient": "damson",
        "ingredient_key": "damson",
        "cost": 4.0,
        "amount": "4 lb",
        "amount_kg": 4 * POUND,
        "form": "crushed",
        "is_frozen": False,
        "skins": "on",
        "day": 0.0,
        "removed_day": 10.0,
    }
    sugar = {"line": 3, "kind": "sugar", "ingredient": "sugar", "amount": "2 lb"}
    sugar |= {"amount_kg": 2 * POUND, "is_frozen": False, "day": 0.0}
    whole = {"recipe": "damson", "yeast": "Lantern", "target_volume_l": 4.5}
    whole |= {"ferment_temperature_c": 20.0, "sweeten_to_g_l": None, "amount_l": None}
    whole |= {"rackings": 2.0, "taste_day": 264.0, "amount_error": 0.0, "is_to_mark": False}
    return pl.DataFrame([fruit | whole, sugar | whole])


def _of(edits: list[Edit], field: str) -> list[Edit]:
    return [edit for edit in edits if edit.field == field]


def test_every_change_is_within_experience(lines: pl.DataFrame) -> None:
    edits = possible_edits(lines, SEEN)
    fruit = [edit for edit in _of(edits, "amount") if edit.kind == "fruit"]
    assert fruit
    assert all(0.2 <= (edit.after_si or 0) / 4.5 <= 0.5 for edit in fruit)
    assert [edit.after for edit in _of(edits, "removed_day")] == ["5", "7"]
    assert [edit.after for edit in _of(edits, "yeast")] == ["Millrace"]
    assert [edit.after for edit in _of(edits, "ferment_temperature")] == ["18 C"]
    assert [edit.after for edit in _of(edits, "form")] == ["crushed frozen"]
    assert [(edit.before, edit.after) for edit in _of(edits, "skins")] == [("on", "off")]


def test_a_change_touches_its_line_alone(lines: pl.DataFrame) -> None:
    skins = _of(possible_edits(lines, SEEN), "skins")[0]
    changed = apply_edits(lines, (skins,), "changed")
    assert changed["skins"].to_list() == ["off", None]
    assert changed["recipe"].to_list() == ["changed", "changed"]
    assert lines["skins"].to_list() == ["on", None]


def test_what_concerns_the_whole_recipe_changes_every_line(lines: pl.DataFrame) -> None:
    yeast = _of(possible_edits(lines, SEEN), "yeast")[0]
    assert apply_edits(lines, (yeast,), "changed")["yeast"].to_list() == ["Millrace", "Millrace"]


LINES = pl.DataFrame(
    {
        "must_id": ["a", "b", "c", "d", "e", "e", "a", "b", "c", "d", "e", "a", "b"],
        "kind": ["fruit"] * 6 + ["nutrient"] * 5 + ["acid"] * 2,
        "ingredient": ["damson"] * 6 + ["dap"] * 4 + ["yeast food"] + ["citric acid"] * 2,
        "ingredient_name": ["damson"] * 6 + ["x"] * 7,
        "ingredient_key": ["damson"] * 6
        + ["diammonium phosphate (DAP)"] * 4
        + [None]
        + ["citric acid (anhydrous)"] * 2,
        "is_planned": [False] * 13,
        "skins": ["on", "on", "on", "off", "off", *[None] * 8],
        "form": ["crushed"] * 4 + ["whole"] * 2 + [None] * 7,
        "is_frozen": [False] * 13,
        "amount_kg": [2.0] * 6 + [0.001, 0.002, 0.002, 0.003, 0.005, 0.01, 0.01],
    }
)


def test_experience_needs_three_batches_of_a_kind() -> None:
    batches = pl.DataFrame(
        {
            "batch_id": ["a", "b", "c", "d", "e"],
            "yeast": ["Lantern"] * 3 + ["Sexton"] * 2,
            "fruit_load_kg_l": [0.2, 0.3, 0.4, 0.5, 0.6],
            "contact_days": [None, None, None, 7.0, 8.0],
            "must_temperature_mean_c": [None] * 5,
            "alcohol": [10.0] * 5,
            "cost": [1.0] * 5,
        },
        schema_overrides={"must_temperature_mean_c": pl.Float64},
    )
    seen = experience_of(batches.with_columns(pl.lit(4.0).alias("target_volume_l")), LINES)
    assert seen.yeasts == ("Lantern",)
    assert not seen.skins
    assert seen.knows_form("crushed", is_frozen=False)
    assert not seen.knows_form("whole", is_frozen=False)
    assert "contact_days" not in seen.ranges
    assert seen.has("fruit_load_kg_l", 0.35)
    assert not seen.has("fruit_load_kg_l", 0.7)
    assert not seen.has("contact_days", 7.0)
    assert seen.powders == {
        "nutrient": Powder("dap", "diammonium phosphate (DAP)", 0.0005, 0.003 / 4)
    }


def test_skins_change_only_for_a_fruit_that_was_used_that_way(lines: pl.DataFrame) -> None:
    seen = experience_of(
        pl.DataFrame(
            {
                "batch_id": ["a"],
                "target_volume_l": [4.0],
                "yeast": ["Lantern"],
                **{name: [1.0] for name in RANGED},
            }
        ),
        pl.concat(
            [
                LINES.head(3).with_columns(ingredient_name=pl.lit("blackberry")),
                LINES.head(3).with_columns(skins=pl.lit("off"), ingredient_name=pl.lit("plum")),
            ]
        ),
    )
    assert seen.knows_skins("plum", "off")
    assert not seen.knows_skins("blackberry", "off")
    assert not _of(possible_edits(lines, seen), "skins")


def test_what_is_paid_goes_with_the_amount(lines: pl.DataFrame) -> None:
    fruit = next(e for e in possible_edits(lines, SEEN) if e.kind == "fruit" and e.after == "3 lb")
    changed = apply_edits(lines, (fruit,), "changed")
    assert changed["cost"].to_list() == [pytest.approx(3.0), None]


def test_a_powder_is_added_in_doses_the_logbook_has_used(lines: pl.DataFrame) -> None:
    dap = Powder("dap", "diammonium phosphate (DAP)", 0.0005, 0.0007)
    seen = dataclasses.replace(SEEN, powders={"nutrient": dap})
    added = [edit for edit in possible_edits(lines, seen) if edit.row is not None]
    assert [(edit.before, edit.after) for edit in added] == [("", "1.5 g"), ("", "2.5 g")]
    both = apply_sets(lines, [(), (added[1],)], ["plain", "fed"])
    assert both["recipe"].to_list() == ["plain"] * 2 + ["fed"] * 3
    new = both.row(4, named=True)
    assert (new["kind"], new["amount_kg"], new["target_volume_l"]) == ("nutrient", 0.0025, 4.5)
    assert added[0].place == added[1].place

    fed = pl.concat([lines, lines.tail(1).with_columns(kind=pl.lit("nutrient"))])
    assert not [edit for edit in possible_edits(fed, seen) if edit.row is not None]


def test_a_logbook_with_decimal_commas_is_answered_with_them(lines: pl.DataFrame) -> None:
    metric = lines.with_columns(
        pl.when(pl.col("kind") == "sugar")
        .then(pl.lit("1,5 kg"))
        .otherwise("amount")
        .alias("amount"),
        pl.when(pl.col("kind") == "sugar").then(1.5).otherwise("amount_kg").alias("amount_kg"),
    )
    sugar = [edit for edit in possible_edits(metric, SEEN, ",") if edit.kind == "sugar"]
    assert [edit.after for edit in sugar] == [
        "1,2 kg",
        "1,4 kg",
        "1,7 kg",
        "1,8 kg",
        "2 kg",
        "2,2 kg",
    ]
