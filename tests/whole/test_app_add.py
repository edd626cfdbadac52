"""The forms that add a row: taken, refused, pressed twice, on an empty folder, hostile names."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from whole.app_opened import button, field, opener, plain, said

from pipeline.cellar import load_cellar
from pipeline.logbook import read_logbook

HOSTILE = "**plum** $x$ :red[a] <b>"
TODAY = date.today()
FILES = {
    "logbook.toml": 'gallon = "us"\nshow = "us"\n',
    "batches.csv": "batch_id,name,started_on,target_volume\n"
    "2026-01,,2026-01-10,1 gal\n"
    f'2026-02,"{HOSTILE}",2026-02-10,1 gal\n'
    "2026-03,plum,2026-03-10,1 gal\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount\n"
    "2026-01,2026-01-10,fruit,plum,4 lb\n"
    "2026-02,2026-02-10,fruit,plum,4 lb\n"
    "2026-03,2026-03-10,fruit,plum,4 lb\n",
    "readings.csv": "batch_id,taken_on,gravity\n"
    "2026-01,2026-01-10,1.090\n"
    "2026-02,2026-03-01,1.040\n"
    "2026-02,2026-02-10,1.090\n",
    "transfers.csv": "batch_id,moved_on,step,volume_after,bottles\n2026-03,2026-08-10,bottle,,5\n",
}


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "club"
    path.mkdir()
    for name, text in FILES.items():
        (path / name).write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def open_page(monkeypatch):
    return opener(monkeypatch)


def _write(app, kind: str):
    return button(app, "Write it down", f"write {kind} ").click().run()


def _rows(folder: Path, file: str) -> list[str]:
    return (folder / file).read_text(encoding="utf-8").splitlines()


def test_a_reading_is_batch_gravity_and_enter(folder, open_page):
    app = open_page(folder, "add")
    assert not app.exception
    assert app.title[0].value == "What is there to write down?"
    assert plain(app.header[0].value).startswith(
        "3 batches, 3 additions, 3 readings and 1 transfer"
    )
    assert field(app, "Batch").value == "2026-02"  # touched last of those that still run
    assert field(app, "Day").value == "today"
    field(app, "Gravity").set_value("1.012")
    field(app, "Temperature of it").set_value("68 F")
    _write(app, "reading")
    assert not app.exception
    assert _rows(folder, "readings.csv")[-1] == f"2026-02,{TODAY.isoformat()},1.012,68 F"
    done = plain(app.success[0].value)
    assert done == (
        f"Written for 2026-02: Gravity 1.012; Temperature of it 68 F; Day {TODAY.isoformat()}. "
        "readings.csv has 4 rows now."
    )
    assert "It counts in the batch's curve now." in said(app)
    assert "4 readings" in app.header[0].value  # the cellar follows
    assert load_cellar(folder).table("readings").height == 4
    assert field(app, "Gravity").value == ""


def test_a_refused_reading_says_why_and_keeps_what_was_typed(folder, open_page):
    before = _rows(folder, "readings.csv")
    app = open_page(folder, "add")
    field(app, "Gravity").set_value("1012")
    field(app, "Temperature of it").set_value("68")
    field(app, "pH, if taken").set_value("3.4")
    _write(app, "reading")
    assert not app.exception
    assert not app.success
    words = said(app)
    assert "Not written. What you typed is still in the form." in words
    assert "Gravity '1012': " in words
    assert "Instead: 1.012." in words
    assert "Temperature of it '68': " in words
    assert [
        field(app, name).value for name in ("Gravity", "Temperature of it", "pH, if taken")
    ] == [*("1012", "68", "3.4")]
    assert _rows(folder, "readings.csv") == before
    field(app, "Gravity").set_value("1.012")
    field(app, "Temperature of it").set_value("68 F")
    _write(app, "reading")
    assert app.success
    assert len(_rows(folder, "readings.csv")) == len(before) + 1


def test_a_reading_of_nothing_is_refused(folder, open_page):
    app = _write(open_page(folder, "add"), "reading")
    assert "such as a gravity or a score" in said(app)
    assert _rows(folder, "readings.csv") == FILES["readings.csv"].splitlines()


def test_a_click_that_comes_twice_writes_once(folder, open_page):
    app = open_page(folder, "add")
    field(app, "Gravity").set_value("1.012")
    first = button(app, "Write it down", "write reading ")
    first.click().run()
    late = button(app, "Write it down", "write reading ")
    assert late.key != first.key
    # The second click was sent before the page had changed: it still names the first form.
    from app import entry_forms
    from app.desk import Desk
    from pipeline.show.units import Units
    from pipeline.show.words_add_forms import forms

    desk, form = Desk(turn=1), forms(Units())[0]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(entry_forms, "desk", lambda: desk)
        patch.setattr(entry_forms, "_typed", lambda *_: {"batch_id": "2026-02", "gravity": "1.0"})
        patch.setattr("sys.argv", ["main.py", str(folder)])
        entry_forms._write(form, 0)
    assert desk.told is None
    assert len(_rows(folder, "readings.csv")) == 5


def test_two_clicks_at_the_same_moment_write_once(folder, monkeypatch):
    """A second run of the page may start while the first still writes."""
    from threading import Thread

    from app import entry_forms
    from app.desk import Desk
    from pipeline.show.units import Units
    from pipeline.show.words_add_forms import forms

    desk, form = Desk(), forms(Units())[0]
    cells = {"batch_id": "2026-02", "taken_on": "today", "gravity": "1.012"}
    monkeypatch.setattr("sys.argv", ["main.py", str(folder)])
    monkeypatch.setattr(entry_forms, "desk", lambda: desk)
    monkeypatch.setattr(entry_forms, "_typed", lambda *_: cells)
    clicks = [Thread(target=entry_forms._write, args=(form, 0)) for _ in range(4)]
    for click in clicks:
        click.start()
    for click in clicks:
        click.join()
    assert len(_rows(folder, "readings.csv")) == 5
    assert desk.turn == 1


@pytest.mark.parametrize(
    ("kind", "typed", "row"),
    [
        (
            "addition",
            {"Sort of thing": "sugar", "What went in": "white sugar", "How much": "1 lb 14 oz"},
            f"2026-02,{TODAY.isoformat()},sugar,white sugar,1 lb 14 oz",
        ),
        (
            "transfer",
            {"What was done": "rack", "Wine after it": "0.9 gal"},
            f"2026-02,{TODAY.isoformat()},rack,0.9 gal,",
        ),
        (
            "tasting",
            {"Taster": "Ada", "Score, all in all": "14", "Warmth": "3"},
            "2026-03,DAY,Ada,,,,,,,3,,,14,,",
        ),
        (
            "batch",
            {"Its number": "2026-04", "Wine you aim at": "1 gal", "Yeast": "the red one"},
            f"2026-04,,{TODAY.isoformat()},1 gal,the red one",
        ),
    ],
)
def test_every_form_writes_its_row(kind, typed, row, folder, open_page):
    app = open_page(folder, "add")
    for label, value in typed.items():
        field(app, label).set_value(value)
    if kind == "tasting":
        next(one for one in app.selectbox if one.key == "tasting 0 batch_id").select("2026-03")
    _write(app, kind)
    assert not app.exception
    assert app.success, said(app)
    file = {"batch": "batches", "addition": "additions"}.get(kind, f"{kind}s")
    assert _rows(folder, f"{file}.csv")[-1] == row.replace("DAY", TODAY.isoformat())
    assert read_logbook(folder).files["rows_set_aside"].sum() == 0


@pytest.mark.parametrize(
    ("kind", "typed", "says"),
    [
        ("addition", {"What went in": "sugar", "How much": "2"}, "How much '2': "),
        ("transfer", {"What was done": "rack"}, "Wine after it: "),
        ("tasting", {"Taster": "Ada", "Score, all in all": "7/10"}, "Score, all in all '7/10': "),
        ("batch", {"Its number": "2026-01"}, "Its number '2026-01': "),
        ("batch", {"Its number": "=2+2"}, "must not begin with '='"),
    ],
)
def test_every_form_refuses_beside_itself(kind, typed, says, folder, open_page):
    before = {path.name: path.read_bytes() for path in folder.glob("*.csv")}
    app = open_page(folder, "add")
    for label, value in typed.items():
        field(app, label).set_value(value)
    _write(app, kind)
    assert not app.exception
    assert not app.success
    assert says in said(app)
    assert {path.name: path.read_bytes() for path in folder.glob("*.csv")} == before


def test_the_rest_of_a_form_is_there_for_who_noted_it(folder, open_page):
    app = open_page(folder, "add")
    field(app, "Sort of thing").select("fruit")
    field(app, "What went in").set_value("damson")
    field(app, "How much").set_value("2 lb")
    field(app, "Fruit was").select("crushed frozen")
    field(app, "Fruit's skins").select("on")
    _write(app, "addition")
    assert app.success, said(app)
    added = read_logbook(folder).typed["additions"].row(-1, named=True)
    assert (added["form"], added["is_frozen"], added["skins"]) == ("crushed", True, "on")
    field(app, "Taster").set_value("Ada")
    field(app, "Faults").set_value(["hazy", "green"])
    _write(app, "tasting")
    assert app.success, said(app)
    assert read_logbook(folder).typed["tastings"]["faults"].to_list() == ["hazy; green"]


def test_yesterday_with_a_time_is_a_day(folder, open_page):
    app = open_page(folder, "add")
    field(app, "Gravity").set_value("1.012")
    field(app, "Day").set_value("yesterday 18:30")
    _write(app, "reading")
    day = (TODAY - timedelta(days=1)).isoformat()
    assert _rows(folder, "readings.csv")[-1] == f"2026-02,{day} 18:30,1.012"


def test_a_recipe_is_written_line_by_line(folder, open_page):
    app = open_page(folder, "add")
    whole = {"Recipe it belongs to": "damson plain", "Wine it aims at": "1 gal"}
    for label, value in {**whole, "What goes in": "damson"}.items():
        field(app, label).set_value(value)
    _amount(app, "fruit", "4 lb")
    assert app.success, said(app)
    assert "Written for damson plain: Sort of thing fruit" in said(app)
    assert field(app, "Recipe it belongs to").value == "damson plain"
    field(app, "What goes in").set_value("white sugar")
    _amount(app, "sugar", "2.5 lb")
    assert app.success, said(app)
    lines = read_logbook(folder).typed["recipes"].select("recipe", "ingredient", "day").rows()
    assert lines == [("damson plain", "damson", 0.0), ("damson plain", "white sugar", 0.0)]


def _amount(app, kind: str, amount: str):
    """Fill in the recipe's line, whose form is the last to ask for these two."""
    fields = {one.key: one for one in (*app.selectbox, *app.text_input)}
    turn = button(app, "Write it down", "write recipe ").key.split()[-1]
    fields[f"recipe {turn} kind"].set_value(kind)
    fields[f"recipe {turn} amount"].set_value(amount)
    _write(app, "recipe")
    assert not app.exception


def test_a_link_opens_the_form_and_the_batch_it_is_about(folder, open_page):
    app = open_page(folder).switch_page("app_pages/add.py")
    app.query_params["batch"], app.query_params["kind"] = "2026-01", "tasting"
    app.run()
    assert not app.exception
    assert {one.value for one in app.selectbox if one.label == "Batch"} == {"2026-01"}
    assert app.session_state["desk"].first_tab == "Tasting"


def test_a_warning_is_told_beside_what_was_written(folder, open_page):
    app = open_page(folder, "add")
    field(app, "Gravity").set_value("1.095")
    _write(app, "reading")
    assert app.success
    assert "The gravity rose from 1.04 to 1.095" in said(app)
    assert len(_rows(folder, "readings.csv")) == 5


def test_the_batch_just_written_is_the_one_the_next_form_is_about(folder, open_page):
    app = open_page(folder, "add")
    field(app, "Its number").set_value("2026-04")
    field(app, "Put together on").set_value("2026-01-02")
    _write(app, "batch")
    assert "Next: what went into it, under Addition." in said(app)
    assert {one.value for one in app.selectbox if one.label == "Batch"} == {"2026-04"}


def test_the_words_of_a_choice_stay_until_the_form_is_written(folder, open_page):
    """A browser knows a choice by its words: were they to change, another would stand chosen."""
    app = open_page(folder, "add")
    offered = field(app, "Batch").options
    named = FILES["batches.csv"].replace("2026-01,", "2026-01,greengage")
    (folder / "batches.csv").write_text(f"{named}2026-04,,2026-03-11,1 gal\n", encoding="utf-8")
    app.run()
    assert "4 batches" in app.header[0].value
    assert set(field(app, "Batch").options) == {*offered, "2026-04"}
    field(app, "Gravity").set_value("1.012")
    _write(app, "reading")
    assert app.success, said(app)
    assert "2026-01 (greengage)" in field(app, "Batch").options


def test_of_very_many_batches_a_part_of_the_name_finds_one(folder, open_page, monkeypatch):
    monkeypatch.setattr("app.choosing.AT_ONCE", 1)
    app = open_page(folder, "add")
    assert field(app, "Batch").options == [f"2026-02 ({HOSTILE})"]
    field(app, "Find one of 3 batches").set_value("-03 (PLUM").run()
    assert {tuple(one.options) for one in app.selectbox if one.label == "Batch"} == {
        ("2026-03 (plum)",)
    }
    field(app, "Gravity").set_value("1.012")
    _write(app, "reading")
    assert _rows(folder, "readings.csv")[-1].startswith("2026-03,")
    field(app, "Find one of 3 batches").set_value("").run()
    assert field(app, "Batch").value == "2026-03"


def test_hostile_names_are_shown_as_typed(folder, open_page):
    app = open_page(folder, "add")
    assert not app.exception
    assert f"2026-02 ({HOSTILE})" in field(app, "Batch").options
    field(app, "Its number").set_value(HOSTILE)
    _write(app, "batch")
    assert not app.exception
    assert "\\*\\*plum\\*\\* \\$x\\$ \\:red\\[a\\] \\<b\\>" in app.success[0].value
    field(app, "Gravity").set_value("1.090")
    _write(app, "reading")
    assert not app.exception
    assert _rows(folder, "readings.csv")[-1] == f"{HOSTILE},{TODAY.isoformat()},1.090"


def test_an_empty_folder_opens_with_starting_a_logbook(tmp_path, open_page):
    app = open_page(tmp_path)
    assert not app.exception
    assert app.title[0].value == "What is there to write down?"
    assert plain(app.header[0].value) == "There is no logbook in this folder yet."
    assert "Bring in old notes" in [part.value for part in app.subheader]
    field(app, "Which units do you think in?").set_value("imperial")
    field(app, "Out of how many points do you score a wine?").set_value("many")
    button(app, "Start the logbook").click().run()
    assert "score_out_of must be a number" in said(app)
    assert not list(tmp_path.glob("*.csv"))
    field(app, "Out of how many points do you score a wine?").set_value("10")
    button(app, "Start the logbook").click().run()
    assert not app.exception
    settings = read_logbook(tmp_path).settings
    assert (settings.gallon, settings.show, settings.score_out_of) == ("imperial", "imperial", 10)
    assert app.header[0].value == "Nothing is written down yet\\."
    field(app, "Its number").set_value("2026-01")
    _write(app, "batch")
    assert app.success, said(app)
    assert app.header[0].value == "1 batch so far\\."


def test_without_a_batch_only_a_batch_or_a_recipe_can_be_written(tmp_path, open_page):
    for name in ("batches", "additions"):
        text = FILES[f"{name}.csv"].splitlines()[0]
        (tmp_path / f"{name}.csv").write_text(f"{text}\n", encoding="utf-8")
    app = open_page(tmp_path)
    assert not app.exception
    assert app.title[0].value == "What is there to write down?"
    assert [one.key for one in app.button] == ["write batch 0", "write recipe 0"]
    assert said(app).count("Write one down under Batch.") == 4


def test_another_page_can_be_chosen_once_there_is_a_logbook(folder, tmp_path, open_page):
    assert open_page(folder).title[0].value == "What is on the shelf?"
    empty = tmp_path / "empty"
    empty.mkdir()
    app = open_page(empty, "volume")
    assert app.title[0].value == "What is there to write down?"


def test_a_logbook_in_a_workbook_says_where_to_add(tmp_path, open_page):
    from unit.logbook.workbooks import write_workbook

    sheets = {
        name: [line.split(",") for line in FILES[f"{name}.csv"].splitlines()]
        for name in ("batches", "additions", "readings")
    }
    write_workbook(tmp_path / "club.xlsx", sheets)
    (tmp_path / "logbook.toml").write_text(FILES["logbook.toml"], encoding="utf-8")
    app = open_page(tmp_path, "add")
    assert plain(app.header[0].value).startswith("3 batches, 3 additions and 3 readings")
    field(app, "Gravity").set_value("1.012")
    _write(app, "reading")
    assert not app.exception
    assert "is a sheet of a workbook, and rows are added to CSV files only" in said(app)
