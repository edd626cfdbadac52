"""The demo logbook: reproducible, its faults explained, its planted truths there to be found."""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from types import ModuleType

import polars as pl
import pytest
from makers.maker import Maker

from pipeline.logbook import read_logbook

DEMO = Path(__file__).parents[2] / "data" / "demo"
TODAY = date(2026, 11, 25)
PARTS = ("club", "remarks", "slips", "make_demo")


@pytest.fixture(scope="module")
def make_demo() -> Iterator[ModuleType]:
    """The script itself, imported from its folder and forgotten afterwards."""
    path = list(sys.path)
    spec = importlib.util.spec_from_file_location("make_demo", DEMO / "make_demo.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    yield module
    sys.path[:] = path
    for name in PARTS:
        sys.modules.pop(name, None)


@pytest.fixture(scope="module")
def made(make_demo: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Maker]:
    """A fresh copy of the demo and the truth behind it."""
    folder = tmp_path_factory.mktemp("demo")
    return folder, make_demo.make(folder)


@pytest.fixture(scope="module")
def typed() -> dict[str, pl.DataFrame]:
    """The committed demo as the program reads it."""
    return read_logbook(DEMO, today=TODAY).typed


def test_the_script_makes_the_committed_files(made: tuple[Path, Maker]) -> None:
    for path in sorted(made[0].iterdir()):
        assert path.read_text(encoding="utf-8") == (DEMO / path.name).read_text(encoding="utf-8"), (
            f"{path.name} differs: run python data/demo/make_demo.py"
        )


def test_the_club_is_as_large_and_uneven_as_said(typed: dict[str, pl.DataFrame]) -> None:
    batches = typed["batches"]
    fruits = typed["additions"].filter(pl.col("kind") == "fruit").group_by("ingredient_key").len()
    assert 145 <= len(batches) <= 155
    assert 18 <= len(fruits) <= 25
    assert fruits["len"].max() > 15 * fruits["len"].min()
    assert batches["started_on"].min() >= date(2022, 10, 1)
    assert batches["started_on"].max() <= date(2026, 9, 30)
    assert batches["recipe"].n_unique() < 45
    assert typed["tastings"]["taster"].n_unique() == 4
    assert set(batches["gallon"]) == {"imperial", "us"}
    assert 4 <= typed["recipes"]["recipe"].n_unique() <= 8


@pytest.mark.usefixtures("make_demo")
def test_every_fault_on_purpose_is_explained() -> None:
    checked = read_logbook(DEMO, today=TODAY)
    errors = checked.problems.filter(pl.col("level") == "error")
    typed_wrong = set(zip(errors["file"], errors["column"], errors["value"], strict=True))
    planted = {(f"{s.page}.csv", s.column, s.typed) for s in sys.modules["slips"].SLIPS}
    assert typed_wrong == planted | {("batches.csv", "batch_id", "2025-14")}
    assert len(errors) == 14
    assert errors["message"].str.len_chars().min() > 20
    totals = checked.files.select(pl.sum("rows_read", "rows_loaded", "rows_set_aside")).row(0)
    assert totals[0] == totals[1] + totals[2]
    assert totals[2] == 14


def _litres_per_kg(typed: dict[str, pl.DataFrame]) -> pl.DataFrame:
    """Return the litres strained beyond water and sugar, of batches of one fruit."""
    lines = typed["additions"].filter(pl.col("added_on").is_not_null())
    sums = lines.group_by("batch_id").agg(
        fruit=pl.col("ingredient_key").filter(pl.col("kind") == "fruit").first(),
        fruits=(pl.col("kind") == "fruit").sum(),
        kg=pl.col("amount_kg").filter(pl.col("kind") == "fruit").sum(),
        water_l=pl.col("amount_l")
        .filter((pl.col("kind") == "water") & ~pl.col("is_to_mark"))
        .sum(),
        sugar_kg=pl.col("amount_kg").filter(pl.col("kind") == "sugar").sum(),
    )
    strained = typed["transfers"].filter(pl.col("step") == "strain")
    joined = sums.join(strained.select("batch_id", "volume_after_l"), on="batch_id")
    joined = joined.filter((pl.col("fruits") == 1) & (pl.col("water_l") > 0) & (pl.col("kg") > 0.5))
    gained = pl.col("volume_after_l") - pl.col("water_l") - 0.6 * pl.col("sugar_kg")
    return joined.with_columns(litres_per_kg=gained / pl.col("kg"))


def test_banana_is_seen_to_hold_back_water(typed: dict[str, pl.DataFrame]) -> None:
    by_fruit = _litres_per_kg(typed).group_by("fruit").agg(pl.col("litres_per_kg").median())
    ranked = by_fruit.sort("litres_per_kg")
    assert ranked["fruit"][0] == "banana"
    assert ranked["litres_per_kg"][0] < 0
    assert ranked["litres_per_kg"][1] > ranked["litres_per_kg"][0] + 0.2


def test_a_full_gallon_beside_bananas_leaves_about_a_gallon(made: tuple[Path, Maker]) -> None:
    """Common practice, no source: with a low-juice fruit straining loses almost nothing."""
    truth = made[1].truth.batches.filter(
        pl.col("fruit") == "banana", pl.col("second_fruit").is_null()
    )
    shares = truth.with_columns(share=pl.col("strained_l") / pl.col("target_l"))
    assert 0.9 < shares.filter(pl.col("made") == 1)["share"].mean() < 1.1
    assert 0.4 < shares.filter(pl.col("made") == 0)["share"].mean() < 0.65


def test_a_gallon_that_counts_the_fruit_strains_short(made: tuple[Path, Maker]) -> None:
    """Common practice, no source: about half to three quarters of a gallon, fruit by fruit."""
    to_mark = made[1].truth.batches.filter(pl.col("made") == 0)
    share = to_mark["finished_volume_l"] / to_mark["target_l"]
    assert 0.5 < share.median() < 0.78


def test_millrace_is_seen_to_stop_early(typed: dict[str, pl.DataFrame]) -> None:
    last = typed["readings"].filter(pl.col("gravity_sg").is_not_null()).sort("taken_at")
    last = last.group_by("batch_id", maintain_order=True).agg(
        pl.col("gravity_sg", "taken_on").last()
    )
    named = typed["batches"].filter(pl.col("yeast").is_not_null())
    joined = named.join(last, on="batch_id").filter(pl.col("gravity_sg") < 1.012)
    joined = joined.filter((pl.col("taken_on") - pl.col("started_on")).dt.total_days() > 20)
    ranked = joined.group_by("yeast").agg(pl.col("gravity_sg").mean()).sort("gravity_sg")
    assert ranked["yeast"][-1].lower() == "millrace"
    assert ranked["gravity_sg"][-1] > ranked["gravity_sg"][-2] + 0.002
    assert ranked["gravity_sg"][0] < 0.996


def test_long_skins_in_tannic_fruit_fermented_dry_are_harsh(typed: dict[str, pl.DataFrame]) -> None:
    """Seen in the glasses as they stand; short contact or skins off are milder."""
    glasses = typed["tastings"].filter(pl.col("sweetened_to_g_l").is_null())
    rough = pl.mean_horizontal("astringency", "bitterness", "warmth")
    harsh = (
        glasses.with_columns(harshness=rough).group_by("batch_id").agg(pl.col("harshness").mean())
    )
    fruit = typed["additions"].filter(
        pl.col("ingredient_key").is_in(["elderberry", "damson", "sloe"])
    )
    strain = typed["transfers"].filter(pl.col("step") == "strain").select("batch_id", "moved_on")
    joined = fruit.join(harsh, on="batch_id").join(strain, on="batch_id")
    days = (pl.col("moved_on") - pl.col("added_on")).dt.total_days()
    joined = joined.filter(pl.col("skins").is_not_null()).with_columns(days=days)
    is_long = (pl.col("days") >= 10) & (pl.col("skins") == "on")
    long, rest = joined.filter(is_long), joined.filter(~is_long)
    assert len(long) >= 7
    assert long["harshness"].mean() > rest["harshness"].mean() + 0.9
    assert harsh["harshness"].median() < 4


def test_most_wines_are_dry_and_of_usual_strength(made: tuple[Path, Maker]) -> None:
    truth = made[1].truth.batches
    assert truth["final_gravity"].is_between(0.989, 1.001).mean() > 0.8
    assert truth["alcohol_before_topping"].is_between(10, 14).mean() > 0.9
    assert 0.05 < (truth["harshness"] >= 5).mean() < 0.2
