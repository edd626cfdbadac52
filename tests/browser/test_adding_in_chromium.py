"""A reading entered on a phone and old notes brought into an empty folder, in a real browser."""

from pathlib import Path

import pytest
from browser.visiting import PHONE, SIZES, ended, keep, rest, visiting

pytestmark = pytest.mark.slow

MESSY = Path(__file__).parents[1] / "whole" / "messy"
WRITE = "Write it down"
INTO = "Write into the logbook"


@pytest.fixture
def page(request, browser):
    with visiting(browser, SIZES[getattr(request, "param", PHONE["width"])]) as page:
        yield page


def _open(page, address):
    page.goto(address)
    page.get_by_role("heading", level=1, name="What is there to write down?").wait_for()
    ended(page)


def _gravity(page):
    return page.get_by_label("Gravity", exact=True)


def _counted(page, readings):
    page.get_by_role("heading", level=2).filter(has_text=f"{readings} readings").wait_for()


def _readings(logbook):
    return (logbook / "readings.csv").read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("page", SIZES, indirect=True)
def test_a_gravity_is_typed_and_counted(page, served, logbook):
    before = _readings(logbook)
    _open(page, f"{served}/add")
    assert f"{len(before) - 1} readings" in page.get_by_role("heading", level=2).inner_text()
    keep(page, "add")
    gravity = _gravity(page)
    gravity.fill("1012")
    gravity.press("Enter")
    page.get_by_text("Not written.").wait_for()
    keep(page, "add-refused")
    assert gravity.input_value() == "1012"
    gravity.fill("1.012")
    gravity.press("Enter")
    page.get_by_text(f"readings.csv has {len(before)} rows now.").wait_for()
    rest(page)
    keep(page, "add-written")
    assert len(_readings(logbook)) == len(before) + 1
    assert f"{len(before)} readings" in page.get_by_role("heading", level=2).inner_text()
    assert gravity.input_value() == ""


def test_two_people_choose_and_write_without_meeting(browser, served, logbook):
    """What one writes the other sees counted, and neither the choice nor the typing suffers."""
    before = _readings(logbook)
    with visiting(browser, PHONE) as ada, visiting(browser, PHONE) as bo:
        for person in (ada, bo):
            _open(person, f"{served}/add")
        form = bo.get_by_role("tabpanel").filter(has=_gravity(bo))
        form.get_by_label("Batch", exact=True).click()
        other = bo.get_by_role("option").nth(1)
        batch = other.inner_text()
        other.click()
        _gravity(bo).fill("1.0")
        # A gravity as low as this ends the batch's fermentation: what is said of it changes.
        _gravity(ada).fill("0.991")
        _gravity(ada).press("Enter")
        _counted(bo, len(before))
        assert _gravity(bo).input_value() == "1.0"
        _gravity(bo).fill("1.002")
        _gravity(bo).press("Enter")
        bo.get_by_text(f"readings.csv has {len(before) + 1} rows now.").wait_for()
        _counted(ada, len(before) + 1)
    first, second = _readings(logbook)[len(before) :]
    assert ",0.991" in first
    assert ",1.002" in second
    assert second.startswith(f"{batch.partition(' ')[0]},")
    assert first.partition(",")[0] != second.partition(",")[0]


def test_two_quick_clicks_write_one_row(page, served, logbook):
    before = _readings(logbook)
    _open(page, f"{served}/add")
    _gravity(page).fill("1.011")
    page.get_by_role("button", name=WRITE).first.dblclick()
    page.get_by_text(f"readings.csv has {len(before)} rows now.").wait_for()
    rest(page)
    page.wait_for_timeout(3000)
    assert len(_readings(logbook)) == len(before) + 1


@pytest.mark.parametrize("page", SIZES, indirect=True)
def test_old_notes_come_into_an_empty_folder(page, served_empty):
    address, folder = served_empty
    _open(page, address)
    assert page.get_by_text("There is no logbook in this folder yet.").is_visible()
    keep(page, "begin")
    page.locator("input[type=file]").set_input_files(MESSY / "09_gallons_country_unknown.csv")
    question = page.get_by_role("radiogroup", name="Which gallon")
    question.wait_for()
    rest(page)
    question.scroll_into_view_if_needed()
    keep(page, "notes-asked")
    assert not list(folder.glob("*.csv"))
    question.get_by_text("imperial, 4.546 L").click()
    started = page.get_by_label("Batch A", exact=True)
    started.fill("2024-03-01")
    started.press("Enter")
    rest(page)
    write = page.get_by_role("button", name=INTO)
    write.scroll_into_view_if_needed()
    keep(page, "notes-found")
    write.click()
    page.get_by_text("Written: 5 batches").wait_for()
    rest(page)
    keep(page, "notes-written")
    page.get_by_role("link", name="What is on the shelf?").last.click()
    page.get_by_role("heading", level=2).filter(has_text="1 batch").wait_for()
    assert (folder / "batches.csv").read_text(encoding="utf-8").count("\n") == 6
