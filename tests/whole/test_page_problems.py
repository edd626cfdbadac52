"""What the logs got wrong: every control of the page, and a fault mended from it."""

import pytest
from whole.kitchen import HOSTILE_ID, open_page, plain, said, unescaped, write_kitchen

READINGS = (
    "batch_id,taken_on,gravity,ph,ta,free_so2\n"
    "sweet,2026-01-01,1095,,,\n"
    "sweet,2026-04-01,1.005,34,7.0,20\n"
    "dry,2026-01-01,1.085,,,\n"
    "dry,2026-04-01,0.993,3.6\n"
)


@pytest.fixture
def folder(tmp_path):
    return write_kitchen(tmp_path / "club", readings=READINGS)


@pytest.fixture
def page(folder, monkeypatch):
    return open_page(monkeypatch, folder, "problems")


def _field(app, start):
    return next(field for field in app.text_input if field.key.startswith(start))


def _type(app, place, text, column=""):
    _field(app, f"now {place} {column}").set_value(text)
    return next(button for button in app.button if f"form {place}-" in button.key).click().run()


def test_the_page_counts_shows_and_marks(page):
    assert not page.exception
    assert page.title[0].value == "What the logs got wrong"
    assert "3 rows of" in page.header[0].value
    assert page.get("vega_lite_chart")
    rows = [html.proto.body for html in page.get("html")]
    assert any('at-fault"><dt>gravity</dt><dd>→ 1095' in row for row in rows)
    assert "Instead: 1.095 (set aside)" in said(page)
    assert "How sure, and why" in said(page)


def test_a_cell_is_mended_and_gone(page, folder):
    _type(page, "readings.csv 2", "1.095")
    assert not page.exception
    assert "Written: readings.csv, line 2, gravity is now 1.095." in said(page)
    assert "2 rows of" in page.header[0].value
    assert (folder / "readings.csv").read_text() == READINGS.replace("1095", "1.095")
    assert not [field for field in page.text_input if field.key.startswith("now readings.csv 2 ")]
    assert "Written:" not in said(page.run())


def test_a_cell_still_at_fault_is_told_in_its_place_and_not_written(page, folder):
    _type(page, "readings.csv 2", "10.95")
    assert "Not written. readings.csv line 2, gravity:" in said(page)
    assert (folder / "readings.csv").read_text() == READINGS
    assert _field(page, "now readings.csv 2").value == "10.95"


def test_another_cell_of_the_row_can_be_chosen(page, folder):
    choice = next(box for box in page.selectbox if box.key == "cell readings.csv 3")
    assert choice.value == "ph"
    choice.select("ta").run()
    _type(page, "readings.csv 3", "7.5", "ta")
    assert "ta is now 7.5. Still to look at: readings.csv line 3, ph:" in said(page)
    assert "1.005,34,7.5,20" in (folder / "readings.csv").read_text()


def test_a_row_without_certain_cells_is_typed_anew(page, folder):
    field = _field(page, "now readings.csv 5")
    assert field.value == "dry,2026-04-01,0.993,3.6"
    _type(page, "readings.csv 5", "dry,2026-04-01,0.993,3.6,,")
    assert "readings.csv, line 5, the row was typed anew" in said(page)
    assert (folder / "readings.csv").read_text().endswith("0.993,3.6,,\n")


def test_what_was_changed_elsewhere_meanwhile_is_not_written_over(page, folder):
    path = folder / "readings.csv"
    changed = READINGS.replace("1095", "1.094")
    path.write_text(changed)
    _type(page, "readings.csv 2", "1.095")
    assert not page.exception
    assert "was changed elsewhere since it was shown" in said(page)
    assert path.read_text() == changed


@pytest.mark.parametrize(
    ("label", "choice", "places"),
    [
        ("Show", "error", {"readings.csv 2", "readings.csv 3", "readings.csv 5"}),
        ("File", "readings.csv", {"readings.csv 2", "readings.csv 3", "readings.csv 5"}),
        ("What is wrong", "row-cells", {"readings.csv 5"}),
    ],
)
def test_the_rows_can_be_narrowed(page, label, choice, places):
    box = next(box for box in page.selectbox if box.label == label)
    box.set_value(choice).run()
    assert not page.exception
    shown = {
        field.key.split(" ")[1:3] and " ".join(field.key.split(" ")[1:3])
        for field in page.text_input
    }
    assert shown == places


def test_every_problem_stands_in_a_table_once_it_is_opened(page):
    assert not page.dataframe
    page.session_state["every problem"] = True
    page.run()
    assert not page.exception
    table = page.dataframe[0].value
    assert len(table) > 3
    assert {"additions.csv", "readings.csv"} <= set(table["where"])


def test_more_rows_are_shown_when_asked_for(tmp_path, monkeypatch):
    many = "".join(f"sweet,2026-03-{day:02},1095,,,\n" for day in range(1, 13))
    folder = write_kitchen(tmp_path / "club", readings=READINGS + many)
    page = open_page(monkeypatch, folder, "problems")
    before = len(page.text_input)
    more = next(button for button in page.button if button.label.startswith("Show more"))
    more.click().run()
    assert len(page.text_input) > before


def test_rows_that_wait_for_their_batch_are_counted_and_come_last(tmp_path, monkeypatch):
    folder = write_kitchen(
        tmp_path / "club", batches="batch_id,started_on\nsweet,01/02/2026\ndry,2026-01-01\n"
    )
    page = open_page(monkeypatch, folder, "problems")
    assert "only wait for the row of the batch to be put right." in said(page)
    assert page.text_input[0].key.startswith("now batches.csv 2 started_on")


def test_a_workbook_says_where_to_mend_it(tmp_path, monkeypatch):
    from unit.logbook.workbooks import write_workbook

    folder = write_kitchen(tmp_path / "club")
    (folder / "readings.csv").unlink()
    heading = ["batch_id", "taken_on", "gravity"]
    write_workbook(folder / "mine.xlsx", {"readings": [heading, ["sweet", "2026-01-01", "1095"]]})
    page = open_page(monkeypatch, folder, "problems")
    assert "mine.xlsx/readings, line 2" in said(page)
    assert "Mend it in the spreadsheet program and save the workbook" in said(page)


def test_a_sound_logbook_has_nothing_to_mend(tmp_path, monkeypatch):
    for name, text in (
        ("batches.csv", "batch_id,started_on\nA,2026-01-01\n"),
        (
            "additions.csv",
            "batch_id,added_on,kind,ingredient,amount\nA,2026-01-01,fruit,plum,1 kg\n",
        ),
    ):
        (tmp_path / name).write_text(text)
    page = open_page(monkeypatch, tmp_path, "problems")
    assert not page.exception
    assert plain(page.header[0].value) == "All 2 rows could be read, and nothing in them looks odd."
    assert "Nothing to mend." in said(page)


def test_a_hostile_name_is_shown_letter_by_letter(tmp_path, monkeypatch):
    folder = write_kitchen(tmp_path / "club")
    page = open_page(monkeypatch, folder, "problems")
    assert not page.exception
    assert any("x&lt;i&gt;&amp;?#/ %" in html.proto.body for html in page.get("html"))
    line = len((folder / "readings.csv").read_text().splitlines()) - 1
    _type(page, f"readings.csv {line}", "1.090")
    assert "gravity is now 1.090" in said(page)
    assert HOSTILE_ID in (folder / "readings.csv").read_text()
    assert unescaped(page) == []
