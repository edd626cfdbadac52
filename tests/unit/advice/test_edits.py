"""Changes to a recipe stay within what the logbook has seen and are written as makers write."""

import polars as pl
import pytest

from pipeline.advice.edits import Edit, apply_edits, possible_edits
from pipeline.advice.experience import Experience, experience_of

POUND = 0.45359237
SEEN = Experience(
    ranges={
        "fruit_load_kg_l": (0.2, 0.5),
        "contact_days": (4.0, 11.0),
        "must_temperature_mean_c": (17.0, 21.0),
    },
    yeasts=("Lantern", "Millrace"),
    both_skins=True,
    forms=frozenset({("crushed", False), ("crushed", True)}),
)


@pytest.fixture
def lines() -> pl.DataFrame:
    fruit = {
        "line": 2,
        "kind": "fruit",
        "ingredient": "damson",
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


def test_experience_needs_three_batches_of_a_kind() -> None:
    batches = pl.DataFrame(
        {
            "yeast": ["Lantern"] * 3 + ["Sexton"] * 2,
            "fruit_load_kg_l": [0.2, 0.3, 0.4, 0.5, 0.6],
            "contact_days": [None, None, None, 7.0, 8.0],
            "must_temperature_mean_c": [None] * 5,
            "alcohol": [10.0] * 5,
            "cost": [1.0] * 5,
        },
        schema_overrides={"must_temperature_mean_c": pl.Float64},
    )
    fruit = pl.DataFrame(
        {
            "kind": ["fruit"] * 6,
            "is_planned": [False] * 6,
            "skins": ["on", "on", "on", "off", "off", None],
            "form": ["crushed"] * 4 + ["whole"] * 2,
            "is_frozen": [False] * 6,
        }
    )
    seen = experience_of(batches, fruit)
    assert seen.yeasts == ("Lantern",)
    assert not seen.both_skins
    assert seen.knows_form("crushed", is_frozen=False)
    assert not seen.knows_form("whole", is_frozen=False)
    assert "contact_days" not in seen.ranges
    assert seen.has("fruit_load_kg_l", 0.35)
    assert not seen.has("fruit_load_kg_l", 0.7)
    assert not seen.has("contact_days", 7.0)
