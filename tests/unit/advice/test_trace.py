"""The way from a number of the mart back to the cells that somebody typed, proved by going it."""

import shutil
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from makers.maker import simulate
from makers.write import write

from pipeline.advice.trace import Trace, rule_of
from pipeline.advice.trace.must import MUST_RULES
from pipeline.advice.trace.sources import ARITHMETIC
from pipeline.cellar import load_cellar
from pipeline.files import project_file

WORKED = Path(__file__).parents[2] / "whole" / "worked"
# Numbers that say where something stands, not what it is.
PLACES = {"line"}


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    folder = tmp_path_factory.mktemp("logs") / "worked"
    shutil.copytree(WORKED, folder)
    return load_cellar(folder, today=date(2026, 11, 1))


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    """The invented club's logbook, with its slips, gaps and planned recipes."""
    folder = tmp_path_factory.mktemp("logs") / "club"
    shutil.copytree(project_file("data", "demo"), folder, ignore=shutil.ignore_patterns("*.py"))
    return load_cellar(folder, today=date(2026, 11, 25))


@pytest.fixture(scope="module")
def maker(tmp_path_factory):
    """A simulated maker: spoons, gallons, toppings up, feedings, mixed fruit."""
    folder = write(simulate(11, 60, planned=3, draws=5), tmp_path_factory.mktemp("logs") / "maker")
    return load_cellar(folder)


def _numbers(frame):
    return [name for name, kind in frame.schema.items() if kind.is_numeric() and name not in PLACES]


def _musts(cellar):
    """Every batch and planned recipe: its name, whether it is planned, and its row of the mart."""
    for row in cellar.table("batches").iter_rows(named=True):
        yield (
            row["batch_id"],
            False,
            {name: row[name] for name in _numbers(cellar.table("batches"))},
        )
    for row in cellar.table("musts").filter("is_planned").iter_rows(named=True):
        yield row["must_id"], True, {name: row[name] for name in _numbers(cellar.table("musts"))}


def _differences(cellar):
    """Return the numbers that do not come out again when their trace is worked through."""
    found = []
    for must_id, is_planned, numbers in _musts(cellar):
        trace = Trace(cellar, must_id, is_planned=is_planned)
        trace.of(numbers)
        for name, step in trace.steps.items():
            again = trace.reworked(name)
            is_same = again == pytest.approx(step.value, rel=1e-9) if step.value else not again
            if not is_same or (again is None) != (step.value is None):
                found.append((must_id, name, step.value, again))
        assert {name: trace.steps[name].value for name in numbers} == {
            name: None if value is None else float(value) for name, value in numbers.items()
        }
    return found


@pytest.mark.parametrize("logbook", ["worked", "club", "maker"])
def test_every_number_of_the_mart_comes_out_again_from_its_trace(logbook, request):
    assert _differences(request.getfixturevalue(logbook)) == []


# batch, measure: the cells it rests on in the end, as they were typed
CELLS = [
    ("W1", "original_gravity", ("readings.csv", 2, "gravity", "1.0835")),
    ("W1", "original_gravity", ("readings.csv", 2, "temperature", "25 C")),
    ("W1", "final_gravity", ("readings.csv", 4, "gravity", "0.994")),
    ("W1", "alcohol", ("readings.csv", 2, "gravity", "1.0835")),
    ("W1", "alcohol", ("readings.csv", 4, "gravity", "0.994")),
    ("W1", "finished_fraction", ("transfers.csv", 4, "bottles", "5")),
    ("W1", "finished_fraction", ("batches.csv", 2, "target_volume", "4.5 L")),
    ("W1", "nitrogen_added_mg_l", ("additions.csv", 6, "amount", "3 g")),
    ("W1", "nitrogen_added_mg_l", ("transfers.csv", 2, "volume_after", "4.25 L")),
    ("W1", "acid_added_g_l", ("additions.csv", 5, "amount", "12 g")),
    ("W1", "molecular_so2_mg_l", ("readings.csv", 4, "free_so2", "28")),
    ("W1", "molecular_so2_mg_l", ("readings.csv", 4, "ph", "3.40")),
    ("W2", "alcohol", ("additions.csv", 13, "amount", "½ lb")),
    ("W2", "alcohol", ("transfers.csv", 6, "topped_up", "0.75 L")),
    ("W2", "alcohol", ("transfers.csv", 6, "volume_after", "3.0 L")),
    ("W2", "harshness", ("tastings.csv", 4, "astringency", "7")),
    ("W2", "harshness", ("tastings.csv", 5, "warmth", "3")),
    ("W2", "cost", ("additions.csv", 11, "cost", "0.10")),
    ("W2", "cost_per_bottle", ("transfers.csv", 7, "volume_after", "3.6 L")),
    ("W2", "fruit_kg", ("additions.csv", 8, "amount", "4 lb")),
    ("W2", "contact_days", ("additions.csv", 8, "removed_on", "2025-09-30")),
    ("W2", "tannin_exposure", ("additions.csv", 8, "skins", "on")),
    ("W2", "water_l", ("additions.csv", 9, "amount", "to 1 gal")),
    ("W3", "stuck_gravity", ("readings.csv", 11, "gravity", "1.0235")),
    ("W3", "sugar_kg", ("additions.csv", 16, "amount", "2 1/4 lb")),
    ("W4", "sugar_kg", ("additions.csv", 20, "amount", "a big bag")),
]


@pytest.mark.parametrize(("batch", "measure", "cell"), CELLS)
def test_a_number_leads_to_what_was_typed(worked, batch, measure, cell):
    found = {
        (one.file, one.line, one.column, one.as_written)
        for step in Trace(worked, batch).of([measure])
        for one in step.cells
    }
    assert cell in found


def test_steps_stand_after_what_they_rest_on(worked):
    steps = Trace(worked, "W2").of(["alcohol"])
    names = [step.measure for step in steps]
    assert names[-1] == "alcohol"
    for at, step in enumerate(steps):
        assert set(step.uses) <= set(names[:at])


def test_what_is_unknown_is_traced_to_the_row_that_was_set_aside(worked):
    (step,) = Trace(worked, "W4").of(["sugar_kg"])
    assert step.value is None
    assert [(cell.line, cell.as_written) for cell in step.cells[:1]] == [(20, "a big bag")]


def test_a_formula_is_named_with_its_source(worked):
    steps = {step.measure: step for step in Trace(worked, "W1").of(["alcohol", "fruit_sugar_g"])}
    strength = steps["alcohol_before_topping"]
    assert strength.by == "enology.alcohol.alcohol_from_gravities"
    assert "OIV-MA-AS2-03B" in strength.source
    assert strength.unit == "% vol"
    assert steps["alcohol"].by == "sql/460_fermentations.sql"
    sugar = steps["fruit_sugar_g"]
    table = next(cell for cell in sugar.cells if cell.file == "data/reference/fruit.csv")
    written = project_file("data", "reference", "fruit.csv").read_text(encoding="utf-8")
    assert written.splitlines()[table.line - 1].startswith("pear,")
    assert table.as_written == "9.75"
    assert "USDA" in sugar.source


def test_a_spoon_is_traced_to_what_it_weighs(worked):
    (step,) = Trace(worked, "W2").of(["so2_added_mg_l"])[:1]
    assert step.cells == []
    enzyme = pl.col("kind") == "enzyme"
    assert worked.table("staged_additions").filter(enzyme)["line"].to_list() == [11]


def test_every_number_has_its_unit_and_who_made_it(club):
    for must_id, is_planned, numbers in [next(iter(_musts(club)))]:
        steps = Trace(club, must_id, is_planned=is_planned).of(numbers)
        assert all(step.by and step.source for step in steps)
    assert {"sugar_at_start_g_l", "fruit_sugar_g"} <= set(MUST_RULES)
    plain = [step.measure for step in steps if step.by == ARITHMETIC]
    # Only what no table keeps has no file to its name.
    assert set(plain) <= {
        *("sugar_at_start_g_l", "sugar_in_all_g_l", "net_l", "weighed_kg"),
        *("undiluted_extract_g_l", "undiluted_sugar_g_l"),
    }


def test_a_measure_that_nobody_knows_is_a_fault():
    with pytest.raises(KeyError, match="happiness"):
        rule_of("happiness")
