"""`hedgerow import` as somebody types it: a mapping first, then rows, nothing twice or lost."""

import json
import tomllib
from pathlib import Path

import polars as pl
import pytest
from unit.logbook.workbooks import write_workbook
from whole.importing import MESSY, imported

from pipeline.cli import main
from pipeline.logbook import read_logbook

Capture = pytest.CaptureFixture[str]
BATCHES = (
    "Batch,Started,Plum kg,Sugar kg,Water L,OG,FG,Bottled,Bottles\n"
    "A1,2024-08-01,2.0,1.1,3.5,1.085,0.996,2025-03-01,6\n"
    "A2,2024-08-05,1.5,1.0,3.5,1.080,0.994,2025-03-01,6\n"
)


def _mapping(folder: Path) -> Path:
    (path,) = (folder / "imports").glob("*.mapping.toml")
    return path


def _answer(folder: Path, old: str, new: str) -> None:
    text = _mapping(folder).read_text(encoding="utf-8")
    assert old in text
    _mapping(folder).write_text(text.replace(old, new), encoding="utf-8")


def _sheet(tmp_path: Path, text: str, name: str = "old.csv") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def _lines(folder: Path, file: str) -> list[str]:
    return (folder / file).read_text(encoding="utf-8").splitlines()


def test_first_a_mapping_and_nothing_else(tmp_path: Path, capsys: Capture) -> None:
    folder = tmp_path / "logbook"
    status, data = imported(capsys, folder, MESSY / "02_additions_us_fractions.csv")
    assert status == 1
    assert not data["is_written"]
    assert [path.name for path in folder.iterdir()] == ["imports"]
    mapping = tomllib.loads(_mapping(folder).read_text(encoding="utf-8"))
    assert mapping["answers"] == {"dates": "month-first", "gallon": ""}
    assert mapping["starts"] == {"BB-1": "2024-08-03"}
    assert [column["to"] for column in mapping["columns"]] == [
        *("batch_id", "date", "additions.ingredient", "additions.amount")
    ]


@pytest.mark.parametrize("name", sorted(path.name for path in MESSY.glob("*.csv")))
def test_then_every_messy_file_becomes_a_logbook_that_check_reads(
    name: str, tmp_path: Path, capsys: Capture
) -> None:
    folder, original = tmp_path / "logbook", (MESSY / name).read_bytes()
    assert imported(capsys, folder, MESSY / name)[0] == 1
    if name.startswith("11"):
        assert imported(capsys, folder, MESSY / name)[0] == 1
        _answer(folder, 'large_doses = ""', 'large_doses = "yes"')
    status, data = imported(capsys, folder, MESSY / name)
    assert status == 0
    assert data["is_written"]
    checked = read_logbook(folder)
    (sheet,) = data["files"]
    for file, counts in sheet["written"].items():
        (found,) = checked.files.filter(pl.col("file") == file).to_dicts()
        assert found["rows_read"] == counts["written"]
        assert found["rows_read"] == found["rows_loaded"] + found["rows_set_aside"]
    report = pl.read_csv(sheet["report"], infer_schema=False)
    became = dict(report["became"].value_counts().iter_rows())
    for fate in ("loaded", "held", "rejected"):
        assert became.get(fate, 0) == sheet["counts"][f"cells_{fate}"]
    assert became.get("set aside", 0) == sheet["counts"]["rows_set_aside"]
    assert (MESSY / name).read_bytes() == original
    assert main(["check", str(folder)]) == 0


def test_01_loads_in_the_checked_logbook_as_a_careful_reader_says(
    tmp_path: Path, capsys: Capture
) -> None:
    folder, path = tmp_path / "logbook", MESSY / "01_batches_semicolon_bom.csv"
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    checked = read_logbook(folder)
    additions = checked.typed["additions"]
    kg = {
        (row["batch_id"], row["ingredient_key"]): row["amount_kg"]
        for row in additions.filter(pl.col("kind") == "fruit").to_dicts()
    }
    assert kg == {("1", "elderberry"): 1.36, ("3", "redcurrant"): 2.0, ("4", "apple"): 4.5}
    unknown = checked.set_aside.select("batch_id", "kind").rows()
    assert sorted(unknown) == [("2", "fruit"), ("4", "sugar")]  # not known, not none


def test_an_answer_brings_the_import_up_to_date(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", MESSY / "01_batches_semicolon_bom.csv"
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    before = _lines(folder, "additions.csv")
    _answer(folder, 'use = ""', 'use = "1.36 kg"')
    status, data = imported(capsys, folder, path)
    assert status == 0
    assert data["files"][0]["written"]["additions.csv"] == {
        "written": 1,
        "already_there": 11,
        "replaced": 1,
        "contradicted": 0,
        "changed_since": 0,
    }
    after = _lines(folder, "additions.csv")
    assert len(after) == len(before)
    assert any("sloe,1.36 kg" in line for line in after)
    assert (folder / "additions.csv.bak").read_text(encoding="utf-8").splitlines() == before


def test_the_same_sheet_again_writes_nothing_twice(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    before = {p.name: p.read_bytes() for p in folder.glob("*.csv")}
    status, data = imported(capsys, folder, path)
    assert status == 0
    assert {p.name: p.read_bytes() for p in folder.glob("*.csv")} == before
    assert all(counts["written"] == 0 for counts in data["files"][0]["written"].values())


def test_a_sheet_that_has_grown_brings_only_its_new_rows(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    grown = _sheet(tmp_path, BATCHES + "A3,2025-08-05,1.5,1.0,3.5,1.080,,,\n", "newer.csv")
    status, data = imported(capsys, folder, grown)
    assert status == 0  # no question: the heading is known
    assert data["files"][0]["written"]["batches.csv"]["written"] == 1
    assert read_logbook(folder).typed["batches"]["batch_id"].to_list() == ["A1", "A2", "A3"]


def test_next_seasons_sheet_leaves_last_seasons_rows(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    heading = BATCHES.splitlines()[0]
    path.write_text(f"{heading}\nB1,2025-08-05,1.5,1.0,3.5,1.080,,,\n", encoding="utf-8")
    assert imported(capsys, folder, path)[0] == 0
    assert read_logbook(folder).typed["batches"]["batch_id"].to_list() == ["A1", "A2", "B1"]
    _sheet(tmp_path, BATCHES)
    assert imported(capsys, folder, path)[0] == 0
    assert len(_lines(folder, "batches.csv")) == 4


def test_what_somebody_has_corrected_by_hand_stays(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    file = folder / "additions.csv"
    file.write_text(file.read_text(encoding="utf-8").replace("2.0 kg", "2.2 kg"), encoding="utf-8")
    _, data = imported(capsys, folder, path)
    assert data["files"][0]["written"]["additions.csv"]["changed_since"] == 1
    assert "2.0 kg" not in file.read_text(encoding="utf-8")


def test_rows_of_a_logbook_that_is_there_are_kept_byte_for_byte(
    tmp_path: Path, capsys: Capture
) -> None:
    folder = tmp_path / "logbook"
    folder.mkdir()
    own = 'batch_id;started_on;notes\r\nmine;2023-01-01;"said; so"\r\n'
    (folder / "batches.csv").write_bytes(own.encode())
    (folder / "additions.csv").write_bytes(
        b"batch_id;added_on;kind;ingredient;amount\r\nmine;2023-01-01;fruit;plum;2,5 kg\r\n"
    )
    (folder / "logbook.toml").write_text('decimal = ","\n', encoding="utf-8")
    path = _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    batches = (folder / "batches.csv").read_bytes().decode()
    assert batches.startswith(own)
    assert batches.count("\r\n") == batches.count("\n") == 4
    checked = read_logbook(folder)
    assert checked.typed["batches"].height == 3
    plum = checked.typed["additions"].filter(pl.col("kind") == "fruit")
    assert plum["amount_kg"].to_list() == [2.5, 2.0, 1.5]
    assert checked.typed["readings"]["gravity_sg"].to_list()[0] == 1.085


def test_a_row_that_contradicts_the_logbook_is_not_written(tmp_path: Path, capsys: Capture) -> None:
    folder = tmp_path / "logbook"
    folder.mkdir()
    (folder / "batches.csv").write_text("batch_id,started_on\nA1,2024-08-01\n", encoding="utf-8")
    (folder / "additions.csv").write_text(
        "batch_id,added_on,kind,ingredient,amount\nA1,2024-08-01,sugar,sugar,3 kg\n",
        encoding="utf-8",
    )
    path = _sheet(tmp_path, BATCHES)
    imported(capsys, folder, path)
    _, data = imported(capsys, folder, path)
    assert data["files"][0]["written"]["additions.csv"]["contradicted"] == 1
    (row,) = data["files"][0]["contradicted"]
    assert (row["batch_id"], row["kind"], row["amount"]) == ("A1", "sugar", "1.1 kg")
    sugar = [line for line in _lines(folder, "additions.csv") if "A1" in line and "sugar" in line]
    assert sugar == ["A1,2024-08-01,sugar,sugar,3 kg"]


def test_a_dangerous_dose_is_corrected_in_its_own_row_only(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", MESSY / "11_additions_dose_dangers.csv"
    imported(capsys, folder, path)
    text = _mapping(folder).read_text(encoding="utf-8")
    at = text.index('row = "S4 | 2024-08-04 | nutrient | 1 | sachet | 4.5"')
    text = text[:at] + text[at:].replace('use = ""', 'use = "5 g"', 1)
    text = text.replace('large_doses = ""', 'large_doses = "yes"')
    _mapping(folder).write_text(text, encoding="utf-8")
    assert imported(capsys, folder, path)[0] == 0
    amounts = {line.split(",")[3]: line.split(",")[4] for line in _lines(folder, "additions.csv")}
    assert amounts["nutrient"] == "5 g"
    assert amounts["acid (which one is not known)"] == "1 teaspoon"


def test_files_are_imported_together_or_not_at_all(tmp_path: Path, capsys: Capture) -> None:
    folder = tmp_path / "logbook"
    first = _sheet(tmp_path, BATCHES)
    second = _sheet(tmp_path, "batch,date,pH\nA1,2024-09-01,3.4\nA2,2024-09-01,3.5\n", "ph.csv")
    imported(capsys, folder, first)
    status, data = imported(capsys, folder, first, second)
    assert status == 1
    assert not (folder / "batches.csv").exists()
    assert [file["has_mapping"] for file in data["files"]] == [True, False]
    status, data = imported(capsys, folder, first, second)
    assert status == 0
    assert data["files"][1]["starts"] == []  # the other sheet says when they began
    checked = read_logbook(folder)
    assert checked.typed["readings"].filter(pl.col("ph").is_not_null())["ph"].to_list() == [
        3.4,
        3.5,
    ]


def test_a_workbook_reads_as_its_sheets(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "old.xlsx"
    write_workbook(
        path,
        {
            "Wines": [
                ["My wines", None, None],
                ["Batch", "Started", "Sugar kg", "OG"],
                ["A1", "2024-08-01", 1.1, 1.085],
                ["Total", None, 1.1, None],
            ],
            "Log": [["batch", "date", "SG"], ["A1", "2024-08-09", 1.02], ["A1", "#REF!", 998]],
            "Empty": [],
        },
    )
    folder = tmp_path / "logbook"
    imported(capsys, folder, path)
    status, data = imported(capsys, folder, path)
    assert status == 0
    assert [file["file"] for file in data["files"]] == ["old.xlsx/Wines", "old.xlsx/Log"]
    assert [line["fault"] for line in data["files"][0]["set_aside"]] == ["total"]
    assert [line["raw"] for line in data["files"][0]["titles"]] == ["My wines"]
    checked = read_logbook(folder)
    assert checked.typed["readings"]["gravity_sg"].to_list() == [1.085, 1.02]
    assert data["files"][1]["cells"]["rejected"][0]["written"] == "#REF!"


def test_another_encoding_can_be_said(tmp_path: Path, capsys: Capture) -> None:
    path = tmp_path / "polska.csv"
    path.write_bytes(
        "Partia;Owoc kg;Data nastawu;Uwagi\n1;2,5;2024-08-01;śliwka\n".encode("cp1250")
    )
    folder = tmp_path / "logbook"
    imported(capsys, folder, path)
    _answer(folder, 'encoding = "cp1252"', 'encoding = "cp1250"')
    imported(capsys, folder, path)
    imported(capsys, folder, path)
    assert "śliwka" in (folder / "batches.csv").read_text(encoding="utf-8")


def test_the_text_reads_as_sentences_with_one_next_step(tmp_path: Path, capsys: Capture) -> None:
    folder, path = tmp_path / "logbook", MESSY / "13_wide_days_across.csv"
    assert main(["import", str(path), "--into", str(folder)]) == 1
    printed = " ".join(capsys.readouterr().out.split())
    assert "3 records: 3 read, 0 set aside" in printed
    assert "27 cells: 21 loaded, 1 held back, 2 no value, 3 empty" in printed
    assert "Which number comes first" in printed
    assert printed.count("Next:") == 1
    assert main(["import", str(path), "--into", str(folder)]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    assert "batches.csv: 3 new" in printed
    assert printed.count("Next:") == 1


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("none.csv", None, "cannot be opened"),
        ("empty.csv", b"", "no line that names its columns"),
        ("picture.csv", b"\x89PNG\x00\x01\x02\x00\x00", "is not a text file"),
        ("broken.xlsx", b"no workbook", "cannot be read as a workbook"),
    ],
)
def test_a_file_that_is_no_sheet_is_one_sentence(
    name: str, content: bytes | None, says: str, tmp_path: Path, capsys: Capture
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    assert main(["import", str(path), "--into", str(tmp_path / "logbook")]) == 2
    captured = capsys.readouterr()
    assert says in captured.err
    assert captured.out == ""
    assert captured.err.count("\n") == 1


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('to = "batch_id"', 'to = "batch"', "to of the column 'batch' must be one of"),
        ('layout = "entries"', 'layout = "rows"', "layout must be"),
        ('heading = "what"', 'heading = "which"', "one [[columns]] for each column"),
        ("[starts]", "[starts", "cannot be read"),
    ],
)
def test_a_mapping_file_that_cannot_be_followed_says_where(
    old: str, new: str, says: str, tmp_path: Path, capsys: Capture
) -> None:
    folder, path = tmp_path / "logbook", MESSY / "02_additions_us_fractions.csv"
    imported(capsys, folder, path)
    _answer(folder, old, new)
    assert main(["import", str(path), "--into", str(folder)]) == 2
    assert says in " ".join(capsys.readouterr().err.split())


def test_json_holds_every_cell(tmp_path: Path, capsys: Capture) -> None:
    _, data = imported(capsys, tmp_path / "l", MESSY / "05_notes_in_number_cells.csv")
    cells = data["files"][0]["cells"]
    counts = data["files"][0]["counts"]
    for fate in ("loaded", "held", "rejected"):
        assert len(cells[fate]) == counts[f"cells_{fate}"]
    assert json.dumps(data)
