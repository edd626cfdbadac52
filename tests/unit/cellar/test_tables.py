"""The tables of `sql/`, each on a logbook of a few literal rows."""

from datetime import date
from pathlib import Path

import duckdb
import polars as pl
import pytest

from pipeline.cellar import Cellar, load_cellar
from pipeline.cellar.plan import plan_musts
from pipeline.enology.gravity import corrected_gravity, gravity_from_brix
from pipeline.errors import UnknownNameError

TODAY = date(2026, 11, 1)
BATCHES = "batch_id,started_on,recipe,yeast,target_volume,status\n"
ADDITIONS = "batch_id,added_on,kind,ingredient,amount,form,skins,removed_on,cost\n"


@pytest.fixture
def built(tmp_path: Path):  # type: ignore[no-untyped-def]
    """Return a function that builds a cellar from the text of a few files."""

    def build(**files: str) -> Cellar:
        for name, text in files.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        (tmp_path / "logbook.toml").write_text('gallon = "us"\n', encoding="utf-8")
        return load_cellar(tmp_path, today=TODAY)

    return build


def test_a_lost_addition_makes_its_sum_unknown_and_no_other(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "A,2025-01-01,fruit,pear,1 kg,,,,\n"
        + "A,2025-01-01,sugar,white sugar,some,,,,\n"
        + "A,2025-01-01,sugar,white sugar,500 g,,,,\n"
        + "A,2025-01-01,acid,citric acid,10 g,,,,\n",
    )
    batch = cellar.batch("A")
    assert batch["sugar_kg"] is None
    assert batch["fruit_kg"] == 1
    assert sorted(batch["unknown"]) == ["sugar_g", "sugar_l"]


def test_a_share_of_nothing_is_unknown(built) -> None:
    acid = "A,2025-01-01,acid,citric acid,5 g,,,,\n"
    cellar = built(batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n", additions=ADDITIONS + acid)
    batch = cellar.batch("A")
    assert batch["must_l"] == 0
    # Grams by no litres would be infinite, and none by no litres not a number.
    assert [batch[name] for name in ("acid_added_g_l", "nitrogen_added_mg_l")] == [None, None]


def test_a_row_of_unreadable_kind_may_have_been_anything(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "A,2025-01-01,fruit,pear,1 kg,,,,\n"
        + "A,2025-01-01,stuff,pear,1 kg,,,,\n",
    )
    batch = cellar.batch("A")
    assert [batch[name] for name in ("fruit_kg", "sugar_kg", "water_l", "tannin_added_g_l")] == [
        None
    ] * 4


def test_days_that_nobody_wrote_down_are_unknown_and_not_none(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\nB,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "A,2025-01-01,fruit,pear,1 kg,,,,\n"
        + "A,2025-01-02,yeast,Lantern,1 packet,,,,\n"
        + "B,2025-01-01,fruit,pear,1 kg,,,2025-01-01,\n",
    )
    assert cellar.batch("A")["contact_days"] is None
    assert cellar.batch("A")["contact_days_before_yeast"] is None
    assert cellar.batch("B")["contact_days"] == 0


def test_water_up_to_a_mark_over_fruit_of_unknown_weight_is_unknown(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "A,2025-01-01,fruit,pear,1 packet,,,,\n"
        + "A,2025-01-01,water,water,to 4 L,,,,\n",
    )
    assert cellar.batch("A")["water_l"] is None
    assert cellar.batch("A")["made"] == "to_mark"


def test_water_to_the_mark_leaves_room_for_fruit_and_sugar(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,1 gal,\nB,2025-01-01,,Lantern,1 gal,\n",
        additions=ADDITIONS
        + "A,2025-01-01,fruit,plum,2 kg,,,,\n"
        + "A,2025-01-01,sugar,sugar,1 kg,,,,\n"
        + "A,2025-01-01,water,water,to 1 gal,,,,\n"
        + "B,2025-01-01,fruit,plum,2 kg,,,,\n"
        + "B,2025-01-01,sugar,sugar,1 kg,,,,\n"
        + "B,2025-01-01,water,water,1 gal,,,,\n",
    )
    to_mark, on_top = cellar.batch("A"), cellar.batch("B")
    assert to_mark["water_l"] == pytest.approx(3.785 - 2 / 1.03 - 0.618, abs=0.001)
    assert on_top["water_l"] == pytest.approx(3.785, abs=0.001)
    assert (to_mark["made"], on_top["made"]) == ("to_mark", "on_top")


def test_late_sugar_counts_from_the_second_day_after_the_yeast(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,,4 L,\n",
        additions=ADDITIONS
        + "A,2025-01-01,sugar,sugar,500 g,,,,\n"
        + "A,2025-01-02,yeast,Lantern,5 g,,,,\n"
        + "A,2025-01-03,sugar,sugar,100 g,,,,\n"
        + "A,2025-01-06,sugar,sugar,200 g,,,,\n",
    )
    batch = cellar.batch("A")
    assert (batch["sugar_kg"], batch["late_sugar_kg"]) == pytest.approx((0.8, 0.2))
    assert batch["yeast"] == "Lantern"


def test_a_recipe_is_described_exactly_as_the_batch_made_from_it(built) -> None:
    lines = [
        ("fruit", "damson", "2 kg", "whole", "on", 7),
        ("sugar", "white sugar", "900 g", "", "", None),
        ("water", "water", "to 4.5 L", "", "", None),
        ("acid", "citric acid", "5 g", "", "", None),
        ("tannin", "tannin", "1/4 tsp", "", "", None),
    ]
    recipe = "recipe,day,kind,ingredient,amount,form,skins,removed_day,yeast,target_volume\n"
    recipe += "damson,1,yeast,Lantern,5 g,,,,Lantern,4.5 L\n"
    additions = ADDITIONS + "A,2025-01-02,yeast,Lantern,5 g,,,,\n"
    for kind, ingredient, amount, form, skins, removed in lines:
        out = "" if removed is None else f"2025-01-{1 + removed:02d}"
        additions += f"A,2025-01-01,{kind},{ingredient},{amount},{form},{skins},{out},\n"
        recipe += f"damson,0,{kind},{ingredient},{amount},{form},{skins},{removed or ''},,\n"
    cellar = built(
        batches=BATCHES + "A,2025-01-01,damson,Lantern,4.5 L,\n",
        additions=additions,
        recipes=recipe,
    )
    musts = cellar.table("musts").drop("must_id", "is_planned", "started_on")
    batch, planned = musts.rows()
    assert batch == planned
    again = plan_musts(cellar.table("staged_recipes"), bottle_l=0.75)
    assert again.musts.drop("must_id", "is_planned", "started_on").rows() == [planned]


def test_stuck_is_no_finished_gravity_and_below_one_is_normal(built) -> None:
    cellar = built(
        batches=BATCHES + "S,2025-01-01,,Lantern,4 L,\nD,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "".join(f"{batch},2025-01-01,sugar,sugar,900 g,,,,\n" for batch in "SD"),
        readings="batch_id,taken_on,gravity\n"
        + "S,2025-01-01,1.090\nS,2025-02-01,1.020\nS,2025-02-10,1.020\n"
        + "D,2025-01-01,1.090\nD,2025-02-01,0.992\nD,2025-02-10,0.992\n",
    )
    stuck, dry = cellar.batch("S"), cellar.batch("D")
    assert (stuck["state"], stuck["final_gravity"], stuck["stuck_gravity"]) == (
        "stuck",
        None,
        1.020,
    )
    assert (dry["is_stuck"], dry["final_gravity"]) == (False, 0.992)


def test_a_stuck_wine_that_was_stabilised_ages_and_is_no_finished_gravity_either(built) -> None:
    cellar = built(
        batches=BATCHES + "S,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "S,2025-01-01,sugar,sugar,900 g,,,,\nS,2025-02-11,sorbate,sorbate,1 packet,,,,\n",
        readings="batch_id,taken_on,gravity\n"
        + "S,2025-01-01,1.090\nS,2025-02-01,1.020\nS,2025-02-10,1.020\n",
    )
    kept_sweet = cellar.batch("S")
    assert (kept_sweet["state"], kept_sweet["is_stuck"]) == ("ageing", True)
    assert (kept_sweet["final_gravity"], kept_sweet["stuck_gravity"]) == (None, 1.020)


def test_without_a_usable_start_alcohol_is_unknown(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS + "A,2025-01-01,sugar,sugar,900 g,,,,\n",
        readings="batch_id,taken_on,gravity\nA,2025-02-01,0.992\n",
    )
    batch = cellar.batch("A")
    assert batch["final_gravity"] == 0.992
    assert batch["original_gravity"] is None
    assert batch["alcohol"] is None


def test_topping_up_with_wine_does_not_dilute_and_with_water_does(built) -> None:
    rows = "".join(
        f"{batch},2025-03-01,rack,3 L,0.5 L,{liquid},\n{batch},2025-04-01,bottle,3.3 L,,,\n"
        for batch, liquid in (("A", "water"), ("B", "wine"))
    )
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\nB,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS
        + "".join(f"{batch},2025-01-01,sugar,sugar,900 g,,,,\n" for batch in "AB"),
        readings="batch_id,taken_on,gravity\n"
        + "".join(f"{b},2025-01-01,1.090\n{b},2025-02-20,0.992\n" for b in "AB"),
        transfers="batch_id,moved_on,step,volume_after,topped_up,topped_up_with,bottles\n" + rows,
    )
    water, wine = cellar.batch("A"), cellar.batch("B")
    assert water["alcohol"] == pytest.approx(wine["alcohol"] * 3 / 3.5)
    assert water["finished_fraction_net"] == pytest.approx((3.3 - 0.5) / 4)


def test_unknown_batch_is_named_with_what_there_is(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS + "A,2025-01-01,sugar,sugar,900 g,,,,\n",
    )
    with pytest.raises(UnknownNameError, match=r"no batch 'Z' in this logbook.*among them: A"):
        cellar.batch("Z")
    assert isinstance(cellar.table("glasses"), pl.DataFrame)


@pytest.mark.parametrize(
    "query",
    [
        "select * from read_csv('{path}')",
        "copy batches to '{path}'",
        "attach '{path}' as other",
        "set enable_external_access = true",
        "install httpfs",
    ],
)
def test_a_cellar_reads_its_own_file_and_nothing_else(built, tmp_path, query) -> None:
    cellar = built(batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n", additions=ADDITIONS)
    with pytest.raises(duckdb.Error, match=r"(?i)disabled|lock|read-only|read_only"):
        cellar._read(query.format(path=tmp_path / "batches.csv"))
    assert cellar.table("batches").height == 1


def test_readings_are_corrected_before_the_load_as_each_would_be_alone(built) -> None:
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS + "A,2025-01-01,fruit,pear,1 kg,,,,\n",
        readings="batch_id,taken_on,gravity,instrument,temperature\n"
        "A,2025-01-01,1.080,,77 F\nA,2025-01-02,22 Bx,,25 C\nA,2025-01-03,1.070,,\n"
        "A,2025-01-04,1.060,,-5 C\nA,2025-01-05,9 Bx,refractometer,20 C\nA,2025-01-06,,,20 C\n",
    )
    rows = cellar.table("readings").select("gravity_read", "gravity", "refractometer_brix").rows()
    brix = gravity_from_brix(22.0)
    assert rows == [
        (1.080, pytest.approx(corrected_gravity(1.080, 25.0)), None),
        (pytest.approx(brix), pytest.approx(corrected_gravity(brix, 25.0)), None),
        (1.070, pytest.approx(1.070), None),
        # A frozen sample says nothing of its gravity.
        (1.060, None, None),
        (pytest.approx(gravity_from_brix(9.0)), None, 9.0),
        (None, None, None),
    ]


def test_what_an_interrupted_build_left_is_cleared_away(built, tmp_path: Path) -> None:
    left = tmp_path / ".hedgerow" / "cellar.duckdb.new-1"
    left.parent.mkdir()
    left.write_text("half a file")
    (left.parent / "cellar.duckdb.new-1.tmp").mkdir()
    (left.parent / "cellar.duckdb.new-1.tmp" / "spilled").write_text("half a table")
    cellar = built(
        batches=BATCHES + "A,2025-01-01,,Lantern,4 L,\n",
        additions=ADDITIONS + "A,2025-01-01,fruit,pear,1 kg,,,,\n",
    )
    assert cellar.batch("A")["fruit_kg"] == 1
    assert sorted(path.name for path in left.parent.iterdir()) == ["build.lock", "cellar.duckdb"]
