"""At the bench: every control of the page, refusals with what would let them be answered."""

import pytest
from whole.kitchen import HOSTILE_ID, open_page, plain, said, unescaped, write_kitchen


@pytest.fixture
def folder(tmp_path):
    return write_kitchen(tmp_path / "club")


@pytest.fixture
def opened(folder, monkeypatch):
    return lambda **query: open_page(monkeypatch, folder, "bench", **query)


def _task(app, task):
    return app.radio[0].set_value(task).run()


def _number(app, name, value):
    field = next(field for field in app.number_input if field.key == f"bench {name}")
    return field.set_value(value).run()


def _tables(app):
    return plain(
        " ".join(str(cell) for table in app.table for row in table.value.values for cell in row)
    )


def test_the_ladder_comes_first_and_everything_has_its_basis(opened):
    page = opened(batch="sweet")
    assert not page.exception
    assert page.title[0].value == "What does this wine need?"
    assert "taste it sweetened in five glasses" in page.header[0].value
    assert page.get("vega_lite_chart")
    assert page.table[0].value.shape[0] == 5
    text = said(page)
    assert "Syrup:" in text
    assert "Take care" in text
    assert "(readings.csv line 3)" in text
    assert "How sure, and why" in text


def test_a_sugar_wanted_is_dosed(opened):
    page = _number(opened(batch="sweet"), "sweeten_to", 60.0)
    assert "sweet needs about" in plain(page.header[0].value)
    assert "for 60 g/L" in plain(page.header[0].value)


def test_another_volume_scales_the_dose(opened):
    page = _number(opened(batch="sweet"), "sweeten_to", 60.0)
    logged = page.header[0].value
    page = _number(page, "volume", 8.0)
    assert page.header[0].value != logged
    assert "8.00 L (as you said)" in said(page)


@pytest.mark.parametrize(
    ("task", "name", "value", "text"),
    [
        ("acid", "acidity", 8.0, "Add one of citric acid"),
        ("acid", "acidity", 6.0, "Take acid out with"),
        ("gravity", "gravity", 1.020, "of sugar brings sweet to 1.020"),
        ("gravity", "gravity", 1.002, "of water brings sweet to 1.002"),
        ("thin", "alcohol", 9.0, "of water brings sweet from about"),
    ],
)
def test_each_task_asks_for_its_number_and_answers(opened, task, name, value, text):
    page = _task(opened(batch="sweet"), task)
    assert not page.exception
    assert page.header[0].value.startswith("Say which")
    page = _number(page, name, value)
    assert not page.exception
    assert text in plain(page.header[0].value)


def test_what_keeps_it_is_dosed(opened):
    page = _task(opened(batch="sweet"), "keep")
    assert not page.exception
    assert "of potassium metabisulphite to keep" in plain(page.header[0].value)
    assert "Ceiling:" in said(page)


def test_two_wines_are_blended(opened):
    page = _task(opened(batch="sweet"), "blend")
    assert "Say which wines" in page.header[0].value
    page.multiselect[0].set_value(["dry"]).run()
    assert "Say which wines" in page.header[0].value
    page = _number(page, "acidity", 6.0)
    assert not page.exception
    assert "6.0 g/L of acid" in plain(page.header[0].value)
    assert "left over" in [heading.strip() for heading in page.table[0].value.columns]


def test_a_titration_stands_before_the_logged_acidity(opened):
    page = _number(_task(opened(batch="blind"), "acid"), "acidity", 7.0)
    assert "has no acidity" in said(page)
    for name, value in (("titrated", 7.0), ("normality", 0.1), ("sample", 10.0), ("volume", 4.0)):
        page = _number(page, name, value)
        assert not page.exception
    assert "to bring blind from 5.3 to 7.0" in plain(page.header[0].value)


def test_half_a_titration_says_what_is_missing(opened):
    page = _number(_task(opened(batch="sweet"), "acid"), "acidity", 7.0)
    page = _number(page, "titrated", 7.0)
    assert not page.exception
    assert "A titration needs" in said(page)
    assert "--" not in said(page)


def test_a_refusal_gives_its_reason_and_leads_to_the_reading(opened):
    page = opened(batch="blind")
    assert not page.exception
    text = said(page)
    assert "Cannot say yet" in text
    assert "blind has no volume logged" in text
    assert "--" not in text
    links = [plain(link.proto.label) for link in page.get("page_link")]
    commands = [code.value for code in page.code]
    assert "Add that reading" in links or any("hedgerow add" in code for code in commands)


@pytest.mark.parametrize("task", ["sweeten", "keep", "acid", "gravity", "thin", "blend"])
@pytest.mark.parametrize("batch", ["sweet", "dry", "blind", "working", "flat", "asleep"])
def test_no_wine_and_no_task_breaks_the_page(opened, batch, task):
    page = _task(opened(batch=batch), task)
    for name in ("acidity", "gravity", "alcohol", "sweeten_to"):
        if any(field.key == f"bench {name}" for field in page.number_input):
            page = _number(page, name, {"gravity": 1.01, "sweeten_to": 40.0}.get(name, 9.0))
    assert not page.exception
    assert not page.error
    assert "--" not in said(page)
    assert len(page.header) == 1


def test_a_lost_batch_is_not_offered_and_a_link_to_it_says_so(opened):
    page = opened(batch="gone")
    assert not page.exception
    assert "gone" not in page.selectbox[0].options
    assert "This page has no batch 'gone' to show" in said(page)


def test_a_hostile_name_is_shown_letter_by_letter(opened):
    page = opened(batch=HOSTILE_ID)
    assert not page.exception
    assert page.selectbox[0].value == HOSTILE_ID
    assert HOSTILE_ID in said(page)
    assert unescaped(page) == []


def test_an_empty_logbook_says_what_to_do(tmp_path, monkeypatch):
    folder = write_kitchen(tmp_path / "club", batches="batch_id,started_on\n")
    page = open_page(monkeypatch, folder, "bench")
    assert not page.exception
    assert page.header[0].value == "There is no wine at the bench yet\\."
    assert "Log a batch and its readings" in said(page)
