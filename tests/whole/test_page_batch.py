"""One batch: its story on one page, by a link that names it."""

import sys
from types import ModuleType

import pytest
from unit.show import samples
from whole.kitchen import HOSTILE, HOSTILE_ID, open_page, plain, said, unescaped, write_kitchen


@pytest.fixture
def folder(tmp_path):
    return write_kitchen(tmp_path / "club")


@pytest.fixture
def opened(folder, monkeypatch):
    harsh = ModuleType("pipeline.advice.harsh")
    harsh.answer = lambda _cellar, _models, batch=None: samples.HARSH_BATCH | {"batch": batch}
    monkeypatch.setitem(sys.modules, harsh.__name__, harsh)
    monkeypatch.setattr("pipeline.learning.fit_models", lambda _cellar: None, raising=False)
    return lambda **query: open_page(monkeypatch, folder, "batch", **query)


def _cells(app):
    return [plain(str(cell)) for table in app.table for row in table.value.values for cell in row]


def test_the_link_opens_the_batch_it_names(opened):
    page = opened(batch="sweet")
    assert not page.exception
    assert page.title[0].value == "How did this batch go?"
    assert page.selectbox[0].value == "sweet"
    answer = plain(page.header[0].value)
    assert answer.startswith("sweet (Damson for Ann) has stopped with sugar left, at 1.005, of 12.")
    assert answer.endswith("begun on 1 January 2026.")


def test_without_a_name_the_newest_batch_stands_there_and_the_address_follows(opened):
    page = opened()
    assert page.selectbox[0].value in ("working", "asleep")
    page.selectbox[0].select("dry").run()
    assert not page.exception
    assert page.query_params["batch"] in ("dry", ["dry"])
    assert plain(page.header[0].value).startswith("dry is ageing")


def test_of_very_many_batches_a_part_of_the_name_finds_one(opened, monkeypatch):
    monkeypatch.setattr("app.choosing.AT_ONCE", 2)
    page = opened(batch="sweet")
    assert page.selectbox[0].value == "sweet"
    assert len(page.selectbox[0].options) == 3
    page.text_input[0].set_value("DRY").run()
    assert page.selectbox[0].value == "sweet"
    assert [plain(one).split(" ")[0] for one in page.selectbox[0].options] == ["sweet", "dry"]
    page.selectbox[0].select("dry").run()
    assert plain(page.header[0].value).startswith("dry")


def test_a_batch_that_is_not_there_is_named_and_another_shown(opened):
    page = opened(batch="2019-01")
    assert not page.exception
    assert "This page has no batch '2019-01' to show. Choose one:" in said(page)
    assert len(page.header) == 1


def test_the_whole_story_stands_there(opened):
    page = opened(batch="sweet")
    parts = [part.value for part in page.subheader]
    assert parts[:5] == [
        "The batch as a whole",
        "How much there was",
        "How it is balanced",
        "How it tasted",
        "Day by day\\, as it was written",
    ]
    assert len(page.get("vega_lite_chart")) >= 5
    cells = _cells(page)
    assert "fruit damson 1.5 kg" in cells
    assert "rack; volume after 3.8 L; topped up 0.2 L; topped up with wine" in cells
    assert "gravity 1.005; ph 3.4; ta 7.0; free so2 20" in cells
    assert "2 glasses by Ann and Bo: score 15.5 on average." in said(page)
    assert "What it cost is not known" in said(page)
    assert "Take care" in said(page)
    assert "How sure, and why" in said(page)


def test_rows_stand_in_the_order_of_their_days(opened):
    page = opened(batch="sweet")
    log = page.table[-1].value
    assert list(log["date"]) == sorted(log["date"])
    assert set(log["stands in"].str.split(" ").str[0].map(plain)) == {
        *("batches.csv", "additions.csv", "readings.csv", "transfers.csv", "tastings.csv")
    }


def test_rows_set_aside_are_told_with_what_is_wrong(opened):
    page = opened(batch=HOSTILE_ID)
    assert "read, set aside" in _cells(page)
    assert "What is wrong with its rows" in said(page)
    assert "Instead: 1.090" in said(page)
    assert "Mend them" in [link.proto.label for link in page.get("page_link")]


def test_a_harsh_batch_has_its_reasons_in_brief(tmp_path, opened):
    write_kitchen(
        tmp_path / "club",
        tastings="batch_id,tasted_on,taster,astringency,bitterness,warmth,score\n"
        "sweet,2026-05-02,Ann,6,7,8,12\n",
    )
    page = opened(batch="sweet")
    assert not page.exception
    assert "sweet has a harshness of 6.2" in said(page)
    labels = [plain(link.proto.label) for link in page.get("page_link")]
    assert "Why it is harsh, and what to do" in labels


def test_every_batch_has_its_page(opened):
    page = opened()
    for batch in ("sweet", "dry", "blind", "working", "flat", "asleep", "gone", HOSTILE_ID):
        page.selectbox[0].select(batch).run()
        assert not page.exception, batch
        assert not page.error, batch
        assert len(page.header) == 1


def test_a_hostile_name_is_shown_letter_by_letter(opened):
    page = opened(batch=HOSTILE_ID)
    assert not page.exception
    assert HOSTILE in plain(page.header[0].value)
    assert f"fruit {HOSTILE} 2 kg" in _cells(page)
    assert unescaped(page) == []


def test_an_empty_logbook_says_what_to_do(tmp_path, monkeypatch):
    folder = write_kitchen(tmp_path / "club", batches="batch_id,started_on\n")
    page = open_page(monkeypatch, folder, "batch")
    assert not page.exception
    assert page.header[0].value == "There is no batch in the logbook yet\\."
    assert "Log a first batch" in said(page)


def test_the_shelf_leads_to_each_batch(folder, monkeypatch):
    page = open_page(monkeypatch, folder, "shelf")
    stories = dict(page.dataframe[0].value[["batch", "story"]].values)
    assert stories["sweet"] == "batch?batch=sweet"
    assert stories[HOSTILE_ID] == "batch?batch=x%3Ci%3E%26%3F%23%2F%20%25"


def test_no_name_of_a_column_stands_where_people_read(opened):
    page = opened(batch="sweet")
    cells = [cell for cell in _cells(page) if "_" in cell or " g l" in cell]
    assert cells == []
    assert "acidity, as tartaric" in _cells(page)
