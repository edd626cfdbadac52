"""The reference tables hold together: names are unique and resolve, every number has a source."""

import polars as pl
import pytest

from pipeline.files import project_file
from pipeline.reference import (
    additive_of,
    additives,
    fruit_names,
    fruit_of,
    fruits,
    plain_name,
    powder_names,
)

PROVENANCE = {
    "read",
    "computed",
    "memory",
    "from memory",
    "common practice, no source",
    "as in fruit.csv",
}


def composition() -> pl.DataFrame:
    return pl.read_csv(project_file("data", "reference", "fruit.csv"))


@pytest.mark.parametrize("table", [fruit_names, powder_names])
def test_spellings_are_unique_and_plain(table):
    names = table().get_column("name")
    assert names.n_unique() == len(names)
    assert [plain_name(name) for name in names] == names.to_list()


def test_every_spelling_resolves():
    assert fruit_names().get_column("group").null_count() == 0
    assert powder_names().join(additives(), on="additive", how="anti").is_empty()
    assert all(fruit_of(name) for name in fruit_names().get_column("name"))
    assert all(additive_of(name) for name in powder_names().get_column("name"))


def test_every_fruit_has_itself_as_a_spelling_and_every_powder_a_name():
    assert all(fruit_of(fruit) for fruit in fruits().get_column("fruit"))
    assert additives().join(powder_names(), on="additive", how="anti").is_empty()


def test_every_composition_has_a_name():
    known = fruits().select(fruit="composition_of")
    assert composition().join(known, on="fruit", how="anti").is_empty()
    lent = fruits().drop_nulls("composition_of").select(fruit="composition_of")
    assert lent.join(composition(), on="fruit", how="anti").is_empty()


@pytest.mark.parametrize(
    ("written", "fruit"),
    [
        ("Damsons", "damson"),
        ("bananas", "banana"),
        ("elder berries", "elderberry"),
        ("rose-hips", "rose hip"),
        ("BLACK  CURRANTS", "blackcurrant"),
        ("cherry_sour", "sour cherry"),
        ("lychees", "litchi"),
        ("oak leaves", "oak leaf"),
        ("moonberries", None),
    ],
)
def test_fruit_spelling(written, fruit):
    assert fruit_of(written) == fruit


@pytest.mark.parametrize(
    ("written", "additive"),
    [
        ("Citric acid", "citric acid (anhydrous)"),
        ("DAP", "diammonium phosphate (DAP)"),
        ("di-ammonium phosphate", "diammonium phosphate (DAP)"),
        ("sulphite tablet", "potassium metabisulfite"),
        ("potassium metabisulphite", "potassium metabisulfite"),
        ("pectinase", "pectic enzyme (powder)"),
        ("precipitated chalk", "calcium carbonate"),
        ("moon dust", None),
    ],
)
def test_powder_spelling(written, additive):
    assert additive_of(written) == additive


@pytest.mark.parametrize("name", ["fruit", "fruit_traits", "additives"])
def test_every_number_has_a_source_and_a_provenance(name):
    table = pl.read_csv(project_file("data", "reference", f"{name}.csv"), infer_schema_length=None)
    for column in [c for c in table.columns if c.endswith("_provenance")]:
        given = table.get_column(column).drop_nulls()
        assert set(given) <= PROVENANCE, column
        source = column.removesuffix("_provenance") + "_source"
        if source in table.columns:
            is_bare = pl.col(column).is_not_null() & pl.col(source).is_null()
            assert table.filter(is_bare).is_empty(), column


@pytest.mark.parametrize(
    ("value", "provenance"),
    [
        ("sugars_g_per_100g", "sugars_g_per_100g_provenance"),
        ("titratable_acid_g_per_100g", "titratable_acid_g_per_100g_provenance"),
        ("juice_yield_fraction", "juice_yield_fraction_provenance"),
        ("pH_low", "pH_provenance"),
    ],
)
def test_no_fruit_number_stands_alone(value, provenance):
    is_alone = pl.col(value).is_not_null() & pl.col(provenance).is_null()
    assert composition().filter(is_alone).is_empty()


def test_flavourings_bring_nothing_and_unknown_stays_unknown():
    table = fruits()
    flavour = table.filter("is_flavouring_only").select("sugar_g_kg", "starch_g_kg", "acid_g_kg")
    assert flavour.unique().rows() == [(0.0, 0.0, 0.0)]
    unknown = table.filter(pl.col("fruit") == "medlar").row(0, named=True)
    assert unknown["sugar_g_kg"] is None


def test_stone_fruit_carries_its_caution():
    stone = fruits().filter("is_stone_fruit")
    text = stone.get_column("cautions").str.to_lowercase()
    assert text.str.contains("stone|kernel").all()


def test_dried_fruit_is_concentrated_fresh_fruit():
    row = fruits().filter(pl.col("fruit") == "dried apricot").row(0, named=True)
    # (100 - 30.89) / (100 - 86.35) = 5.063 times the fresh 92.4 g/kg.
    assert row["sugar_g_kg"] == pytest.approx(467.8, abs=0.1)
    assert row["water_g_kg"] == pytest.approx(308.9)


def test_legal_minimum_for_lemon_is_an_acid_and_not_taken_for_brix():
    brix = dict(fruits().select("fruit", "juice_brix").iter_rows())
    assert brix["lemon"] == pytest.approx(8.9)
    assert brix["pomegranate"] == pytest.approx(16.0)
    assert brix["dried fig"] is None


def test_sugars_count_as_the_sucrose_that_gives_the_same_alcohol():
    equivalent = dict(additives().select("additive", "sucrose_equivalent").iter_rows())
    assert equivalent["sugar, granulated"] == 1
    # One water of crystallisation, and glucose gives 5 % less alcohol than sucrose.
    assert equivalent["dextrose (monohydrate)"] == pytest.approx(0.9091 * 0.95, abs=1e-4)
    assert equivalent["honey"] == pytest.approx(0.8212 * 0.95, abs=1e-3)
