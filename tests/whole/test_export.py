"""`hedgerow export`: every table, every ending, hostile names and all."""

import json
import shutil
from pathlib import Path

import duckdb
import polars as pl
import pytest
from python_calamine import CalamineWorkbook

from pipeline.cellar import load_cellar
from pipeline.cli import main
from pipeline.show.export import write_table

WORKED = Path(__file__).parent / "worked"


@pytest.fixture
def logbook(tmp_path):
    folder = tmp_path / "my logbook"
    shutil.copytree(WORKED, folder)
    return folder


def test_tables_are_listed_with_what_a_row_is(logbook, capsys):
    assert main(["export", str(logbook)]) == 0
    printed = capsys.readouterr().out
    assert "batches  one row per batch" in printed
    assert "hedgerow export LOGBOOK batches -o batches.csv" in printed


@pytest.mark.parametrize("ending", ["csv", "parquet", "xlsx"])
def test_every_table_is_written(logbook, tmp_path, capsys, ending):
    cellar = load_cellar(logbook)
    for table in cellar.tables():
        path = tmp_path / f"{table}.{ending}"
        write_table(cellar.table(table), path)
        if ending == "parquet":
            assert pl.read_parquet(path).equals(cellar.table(table))
    path = tmp_path / f"glasses.{ending}"
    path.unlink()
    assert main(["export", str(logbook), "glasses", "-o", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer == {
        "table": "glasses",
        "file": str(path),
        "rows": cellar.table("glasses").height,
    }
    assert path.exists()


def test_another_program_reads_the_same_types_and_numbers(logbook, tmp_path):
    batches = load_cellar(logbook).table("batches")
    for ending in ("csv", "parquet"):
        path = tmp_path / f"batches.{ending}"
        assert main(["export", str(logbook), "batches", "-o", str(path), "--mark"]) == 0
        read = duckdb.sql(f"from '{path}'").pl()
        assert read.columns == batches.columns
        assert read.schema["original_gravity"] == pl.Float64
        assert read.schema["started_on"] == pl.Date
        assert read["original_gravity"].to_list() == batches["original_gravity"].to_list()
        assert read["name"].to_list() == batches["name"].to_list()
    path = tmp_path / "batches.xlsx"
    assert main(["export", str(logbook), "batches", "-o", str(path)]) == 0
    head, *rows = CalamineWorkbook.from_path(path).get_sheet_by_index(0).to_python()
    place = head.index("original_gravity")
    assert head == batches.columns
    assert [row[place] for row in rows] == pytest.approx(batches["original_gravity"].to_list())


def test_a_batch_called_like_a_formula_runs_nowhere(logbook, tmp_path):
    batches = logbook / "batches.csv"
    text = batches.read_text(encoding="utf-8").replace("W1,", '"=HYPERLINK(""x"")",', 1)
    batches.write_text(text, encoding="utf-8")
    path = tmp_path / "b.csv"
    assert main(["export", str(logbook), "batches", "-o", str(path)]) == 0
    assert '"\'=HYPERLINK(""x"")"' in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nonesuch", "-o", "a.csv"], "There is no table 'nonesuch'. There are: batches,"),
        (["batches"], "Say where to"),
        (["batches", "-o", "a.txt"], "'a.txt' ends otherwise"),
        (['x"; drop table batches', "-o", "a.csv"], "There is no table"),
    ],
)
def test_a_wrong_call_is_one_sentence(logbook, capsys, words, said):
    assert main(["export", str(logbook), *words]) == 2
    assert said in capsys.readouterr().err
