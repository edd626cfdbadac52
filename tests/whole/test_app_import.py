"""Old notes brought in on the page: each messy sheet gives what the command line makes of it."""

from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest
from unit.logbook.workbooks import write_workbook
from whole.app_opened import button, field, opener, plain, said
from whole.importing import MESSY, imported

from pipeline.logbook import read_logbook
from pipeline.logbook.importing import (
    Answers,
    propose_sheet,
    read_mapping,
    sheets_of,
    write_mapping,
)

NAMES = sorted(path.name for path in MESSY.glob("*.csv"))
BATCHES = (
    "Batch,Started,Plum kg,Sugar kg,Water L,OG,FG,Bottled,Bottles\n"
    "A1,2024-08-01,2.0,1.1,3.5,1.085,0.996,2025-03-01,6\n"
    "A2,2024-08-05,1.5,1.0,3.5,1.080,0.994,2025-03-01,6\n"
)


class Said(NamedTuple):
    """One answer: by which label the page asks, and where the mapping file keeps it."""

    label: str
    group: str
    name: object
    text: str


def _general(label: str, key: str, text: str) -> Said:
    return Said(label, "general", key, text)


def _start(batch: str, text: str) -> Said:
    return Said(f"Batch {batch}", "starts", batch, text)


def _cell(heading: str, written: str, text: str) -> Said:
    return Said(f"{heading}: '{written}' in line", "cells", (heading, written), text)


def _name(written: str, text: str) -> Said:
    return Said(f"'{written}' in line", "ingredients", written, text)


ANSWERS = {
    "01": [_cell("Frucht kg", "1.360", "1.36 kg")],
    "02": [_general("Which gallon", "gallon", "us")],
    "03": [_start("P7", "2024-09-01"), _cell("reading", "9.4", "9.4 Bx")],
    "05": [_cell("sugar_g", "1000 + 200", "1000 g + 200 g")],
    "07": [],
    "08": [_general("Which acid", "ta_as", "tartaric")],
    "09": [
        _general("Which gallon", "gallon", "imperial"),
        *(_start(batch, f"2024-0{at}-01") for at, batch in enumerate("ABCDE", start=1)),
    ],
    "11": [
        _general("Nothing is written until", "large_doses", "yes"),
        _name("metabisulphite", "sodium metabisulphite"),
        _name("acid", "citric acid"),
    ],
    "13": [
        _general("Which number comes first", "dates", "month-first"),
        _general("On which day was 'week 4'", "when: week 4", "day 28"),
        _start("W3", "2024-09-24"),
    ],
    "16": [],
}


@pytest.fixture
def open_page(monkeypatch):
    return opener(monkeypatch)


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "club"
    path.mkdir()
    return path


def _upload(app, *files: tuple[str, bytes]):
    app.file_uploader[0].set_value([(name, data, "text/csv") for name, data in files])
    return app.run()


def _messy(name: str) -> tuple[str, bytes]:
    return name, (MESSY / name).read_bytes()


def _asked(app, label: str):
    kinds = (app.radio, app.selectbox, app.text_input)
    return [one for kind in kinds for one in kind if plain(one.label).startswith(label)]


def _answer(app, answers: list[Said]):
    for one in answers:
        asked = _asked(app, one.label)
        assert asked, (one, said(app))
        asked[0].set_value(one.text).run()
        assert not app.exception, one
    return app


def _files(folder: Path) -> dict[str, bytes]:
    """Return what an import leaves behind, apart from mapping files and copies of old versions."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith((".mapping.toml", ".bak", ".lock", ".duckdb"))
    }


def _mappings(folder: Path) -> dict[str, Answers]:
    return {
        path.name: read_mapping(path.read_text(encoding="utf-8"), path.name)
        for path in (folder / "imports").glob("*.mapping.toml")
    }


def _answer_mapping(folder: Path, name: str, answers: list[Said]) -> None:
    """Write answers into the mapping file that the command has proposed."""
    (path,) = (folder / "imports").glob(f"{name}*.mapping.toml")
    (sheet,) = sheets_of(*_messy(name), folder)
    found = read_mapping(path.read_text(encoding="utf-8"), path.name, sheet)
    for one in answers:
        if one.group == "cells":
            keys = [key for key in found.cells if key[:2] == one.name]
            found = found.answered("cells", keys[0], one.text)
        else:
            assert one.name in getattr(found, one.group), one
            found = found.answered(one.group, one.name, one.text)
    text = write_mapping(propose_sheet(sheet, found), found)
    path.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_a_messy_sheet_becomes_what_the_command_makes_of_it(
    name, folder, open_page, tmp_path, capsys
):
    answers, by_command = ANSWERS[name[:2]], tmp_path / "by command"
    imported(capsys, by_command, MESSY / name)
    _answer_mapping(by_command, name, answers)
    status, data = imported(capsys, by_command, MESSY / name)
    assert (status, data["is_written"]) == (0, True)

    app = _upload(open_page(folder), _messy(name))
    assert not app.exception
    assert not list(folder.glob("*.csv"))
    _answer(app, answers)
    button(app, "Write into the logbook").click().run()
    assert not app.exception
    assert app.success, said(app)
    assert _files(folder) == _files(by_command)
    assert _mappings(folder) == _mappings(by_command)
    assert read_logbook(folder).files.equals(read_logbook(by_command).files)


def test_all_ten_at_once_come_into_one_logbook(folder, open_page, tmp_path, capsys):
    by_command = tmp_path / "by command"
    paths = [MESSY / name for name in NAMES]
    imported(capsys, by_command, *paths)
    for name in NAMES:
        _answer_mapping(by_command, name, [] if name[:2] != "11" else ANSWERS["11"][:1])
    assert imported(capsys, by_command, *paths)[0] == 0

    app = _upload(open_page(folder), *map(_messy, NAMES))
    assert not app.exception
    assert "Nothing can be written yet: a dose is so high" in said(app)
    assert not [one for one in app.button if one.label == "Write into the logbook"]
    _answer(app, ANSWERS["11"][:1])
    button(app, "Write into the logbook").click().run()
    assert not app.exception
    assert app.success, said(app)
    assert _files(folder) == _files(by_command)
    assert _mappings(folder) == _mappings(by_command)


def test_what_was_found_is_shown_with_its_reasons(folder, open_page):
    app = _upload(open_page(folder), _messy("01_batches_semicolon_bom.csv"))
    words = said(app)
    assert "UTF-8 with a byte order mark, semicolons; one row is one batch" in words
    assert "1 waits for your answer" in words
    assert "They become 4 batches" in words
    assert "Seen: '13.09.2024' in line 2 proves day first" in words
    assert "more than any household makes" in words
    assert "1090 is 1.090" in words
    columns = next(one.value for one in app.dataframe if "is taken for" in one.value.columns)
    sugar = dict(zip(columns.columns, columns.iloc[3], strict=True))
    assert sugar["column"] == "Zucker kg"
    assert sugar["is taken for"] == "how much went in: white sugar, in kg"
    assert sugar["because"].startswith("'Zucker' is a usual name for it, in kg; 3 of 4 cells")
    assert list(folder.iterdir()) == []


def test_an_answer_can_be_changed_and_taken_back(folder, open_page):
    app = _upload(open_page(folder), _messy("01_batches_semicolon_bom.csv"))
    (said_cell,) = ANSWERS["01"]
    _answer(app, [said_cell])
    assert "waits for your answer" not in said(app)
    _asked(app, said_cell.label)[0].set_value("1360 kg").run()
    assert not app.exception
    _asked(app, said_cell.label)[0].set_value(None).run()
    assert "1 waits for your answer" in said(app)


def test_a_column_can_be_taken_for_something_else(folder, open_page):
    app = _upload(open_page(folder), ("old.csv", BATCHES.encode()))
    assert "They become 2 batches, 6 additions, 4 readings and 2 transfers." in said(app)
    field(app, "Change what a column is taken for").select(3).run()
    field(app, "It is").select("notes").run()
    assert not app.exception
    assert "They become 2 batches, 4 additions, 4 readings and 2 transfers." in said(app)
    columns = next(one.value for one in app.dataframe if "is taken for" in one.value.columns)
    assert columns.iloc[3].to_list()[1:] == [
        "kept in the notes",
        "as you have said; 2 of 2 cells filled, such as 1.1 · 1.0",
    ]
    field(app, "It is").select("additions.amount").run()
    field(app, "Sort of thing").select("honey").run()
    field(app, "Which one, if it is always the same").set_value("honey").run()
    button(app, "Write into the logbook").click().run()
    assert app.success, said(app)
    kinds = read_logbook(folder).typed["additions"].select("kind", "amount_kg").rows()
    assert ("honey", 1.1) in kinds
    assert not [kind for kind, _ in kinds if kind == "sugar"]


def test_a_row_can_be_said_to_be_an_entry(folder, open_page):
    app = _upload(open_page(folder), ("old.csv", b"batch,date,gravity\nA,2024-01-02,1.090\n"))
    assert field(app, "Each row of the sheet is").value in ("batches", "entries")
    for layout, row in (("batches", "one row is one batch"), ("entries", "one row is one entry")):
        field(app, "Each row of the sheet is").set_value(layout).run()
        assert not app.exception
        assert row in said(app)


def test_a_known_heading_needs_no_answer_again(folder, open_page):
    name, data = _messy("02_additions_us_fractions.csv")
    app = _upload(open_page(folder), (name, data))
    _answer(app, ANSWERS["02"])
    button(app, "Write into the logbook").click().run()
    before = (folder / "additions.csv").read_bytes()
    app = _upload(open_page(folder, "add"), ("another name.csv", data))
    assert not _asked(app, "Which gallon")
    button(app, "Write into the logbook").click().run()
    assert "Nothing new: the logbook had all of it already." in said(app)
    assert (folder / "additions.csv").read_bytes() == before


def test_an_answer_after_writing_brings_it_up_to_date(folder, open_page):
    app = _upload(open_page(folder), _messy("01_batches_semicolon_bom.csv"))
    button(app, "Write into the logbook").click().run()
    assert "Next: answer what is still open above and press again" in said(app)
    _answer(app, ANSWERS["01"])
    button(app, "Write into the logbook").click().run()
    assert not app.exception
    assert "1 of the last import replaced" in said(app)
    assert "sloe,1.36 kg" in (folder / "additions.csv").read_text(encoding="utf-8")


def test_what_changed_since_it_was_shown_is_not_written(folder, open_page):
    app = _upload(open_page(folder), _messy("01_batches_semicolon_bom.csv"))
    (cell,) = ANSWERS["01"]
    # An answer typed and the button pressed at once arrive together.
    _asked(app, cell.label)[0].set_value(cell.text)
    button(app, "Write into the logbook").click().run()
    assert not app.exception
    assert "has changed since this was shown" in said(app)
    assert not list(folder.glob("*.csv"))
    button(app, "Write into the logbook").click().run()
    assert app.success
    assert "sloe,1.36 kg" in (folder / "additions.csv").read_text(encoding="utf-8")


def test_many_questions_are_asked_a_dozen_at_a_time(folder, open_page):
    batches = [f"J{number:02}" for number in range(1, 15)]
    rows = "".join(f"{batch},plum,2\n" for batch in batches)
    app = _upload(open_page(folder), ("old.csv", f"Batch,Fruit,Fruit kg\n{rows}".encode()))
    assert len(_asked(app, "Batch J")) == 12
    _answer(app, [_start("J01", "2024-07-01")])
    app.pagination[0].set_value(2).run()
    assert [plain(one.label) for one in _asked(app, "Batch J")] == ["Batch J13", "Batch J14"]
    _answer(app, [_start("J14", "2024-07-14")])
    app.pagination[0].set_value(1).run()
    assert _asked(app, "Batch J01")[0].value == "2024-07-01"
    button(app, "Write into the logbook").click().run()
    assert app.success, said(app)
    started = read_logbook(folder).typed["batches"]["started_on"].drop_nulls().to_list()
    assert started == [date(2024, 7, 1), date(2024, 7, 14)]


def test_another_encoding_can_be_said(folder, open_page):
    sheet = "Batch;Fruit;Fruit kg;Started\nA;třešně;2;2024-07-01\n"
    app = _upload(open_page(folder), ("old.csv", sheet.encode("cp1250")))
    encoding = _asked(app, "The file's letters")[0]
    assert "øe" in said(app)
    encoding.select("cp1250").run()
    assert not app.exception
    assert "'třešně'" in said(app)
    button(app, "Write into the logbook").click().run()
    assert app.success, said(app)
    assert "třešně" in (folder / "additions.csv").read_text(encoding="utf-8")


def test_a_workbook_comes_in_sheet_by_sheet(folder, open_page, tmp_path):
    path = tmp_path / "old.xlsx"
    rows = [line.split(",") for line in BATCHES.splitlines()]
    write_workbook(path, {"2024": rows, "empty": [], "glasses": [["batch", "taster", "score"]]})
    app = _upload(open_page(folder), ("old.xlsx", path.read_bytes()))
    assert not app.exception
    titles = [plain(one.label).partition(",")[0] for one in app.expander]
    assert titles[:2] == ["old.xlsx/2024: 2 rows", "old.xlsx/glasses: 0 rows"]
    button(app, "Write into the logbook").click().run()
    assert app.success, said(app)
    assert read_logbook(folder).typed["batches"]["batch_id"].to_list() == ["A1", "A2"]


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("empty.csv", b"", "empty.csv"),
        ("picture.csv", bytes(range(256)) * 8, "picture.csv"),
        ("broken.xlsx", b"PK\x03\x04 no workbook", "broken.xlsx cannot be read as a workbook"),
        ("poem.csv", b"roses are red\nviolets are blue\n", "poem.csv"),
        (
            "long.csv",
            b"batch,date,gravity\n" + b"A,2024-01-02,1.090\n" * 5001,
            "has 5001 rows, and the page looks through 5000 at most",
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_and_the_others_are_not(
    name, data, says, folder, open_page
):
    app = _upload(open_page(folder), (name, data), ("old.csv", BATCHES.encode()))
    assert not app.exception
    assert says in said(app)
    assert "They become 2 batches" in said(app)
    button(app, "Write into the logbook").click().run()
    assert app.success


@pytest.mark.parametrize(
    "name",
    ["../../../evil.csv", "C:\\notes\\old.csv", "**x** $y$ :red[z] <b>.csv", f"{'x' * 240}.csv"],
)
def test_a_files_name_leads_nowhere(name, folder, open_page, tmp_path):
    app = _upload(open_page(folder), (name, BATCHES.encode()))
    assert not app.exception
    button(app, "Write into the logbook").click().run()
    assert not app.exception
    assert app.success, said(app)
    outside = [path for path in tmp_path.rglob("*") if folder not in (path, *path.parents)]
    assert outside == []
    assert {path.parent for path in folder.rglob("*.mapping.toml")} == {folder / "imports"}


def test_two_files_of_one_name_are_told_apart(folder, open_page):
    second = BATCHES.replace("A1", "B1").replace("A2", "B2").replace("Plum", "Damson")
    app = _upload(open_page(folder), ("old.csv", BATCHES.encode()), ("old.csv", second.encode()))
    labels = [plain(one.label).split(":")[0] for one in app.expander]
    assert {"old.csv", "old (2).csv"} <= set(labels)
    button(app, "Write into the logbook").click().run()
    assert read_logbook(folder).typed["batches"].height == 4


def test_a_logbook_in_a_workbook_is_left_alone(folder, open_page):
    additions = ["batch_id", "added_on", "kind", "ingredient", "amount"]
    rows = {"batches": [["batch_id", "started_on"]], "additions": [additions]}
    write_workbook(folder / "club.xlsx", rows)
    before = (folder / "club.xlsx").read_bytes()
    app = _upload(open_page(folder, "add"), ("old.csv", BATCHES.encode()))
    assert not app.exception
    assert "keeps its rows in a workbook" in said(app)
    assert (folder / "club.xlsx").read_bytes() == before
    assert not list(folder.glob("*.csv"))


def test_what_the_logbook_says_otherwise_is_told(folder, open_page):
    app = _upload(open_page(folder), ("old.csv", BATCHES.encode()))
    button(app, "Write into the logbook").click().run()
    path = folder / "readings.csv"
    text = path.read_text(encoding="utf-8").replace("1.085", "1.086")
    path.write_text(text, encoding="utf-8")
    app = _upload(open_page(folder, "add"), ("old.csv", BATCHES.encode()))
    button(app, "Write into the logbook").click().run()
    assert "readings.csv: 3 there already, 1 left as you have changed them" in said(app)
    assert "1.086" in path.read_text(encoding="utf-8")
