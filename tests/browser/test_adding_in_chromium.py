"""A reading entered on a phone and old notes brought into an empty folder, in a real browser."""

from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

SHOTS = Path(__file__).parent / "shots"
MESSY = Path(__file__).parents[1] / "whole" / "messy"
SIZES = {390: 844, 1440: 900}
PATIENCE = 60_000  # [ms]
WIDER_THAN_THE_WINDOW = """() => {
    const main = document.querySelector('[data-testid=stMain]');
    return main.scrollWidth - main.clientWidth;
}"""
WRITE = "Write it down"
INTO = "Write into the logbook"


@pytest.fixture
def page(request, browser):
    width = getattr(request, "param", 390)
    context = browser.new_context(viewport={"width": width, "height": SIZES[width]})
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    yield page
    assert page.complaints == []
    context.close()


def _open(page, address):
    page.goto(address)
    page.get_by_role("heading", level=1, name="What is there to write down?").wait_for()
    page.get_by_role("heading", name="Bring in old notes").wait_for()
    _settled(page)


def _settled(page):
    page.wait_for_function("!document.querySelector('[data-stale=true]')")


def _keep(page, name):
    SHOTS.mkdir(exist_ok=True)
    page.screenshot(path=SHOTS / f"{name}-{page.viewport_size['width']}.png")
    assert page.evaluate(WIDER_THAN_THE_WINDOW) <= 0


def _readings(logbook):
    return (logbook / "readings.csv").read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("page", SIZES, indirect=True)
def test_a_gravity_is_typed_and_counted(page, served, logbook):
    before = _readings(logbook)
    _open(page, f"{served}/add")
    assert f"{len(before) - 1} readings" in page.get_by_role("heading", level=2).inner_text()
    _keep(page, "add")
    gravity = page.get_by_label("Gravity", exact=True)
    gravity.fill("1012")
    gravity.press("Enter")
    page.get_by_text("Not written.").wait_for()
    _keep(page, "add-refused")
    assert gravity.input_value() == "1012"
    gravity.fill("1.012")
    gravity.press("Enter")
    page.get_by_text(f"readings.csv has {len(before)} rows now.").wait_for()
    _settled(page)
    _keep(page, "add-written")
    assert len(_readings(logbook)) == len(before) + 1
    assert f"{len(before)} readings" in page.get_by_role("heading", level=2).inner_text()
    assert gravity.input_value() == ""


def test_what_is_half_typed_stays_while_the_logbook_changes(page, served, logbook):
    _open(page, f"{served}/add")
    rows = _readings(logbook)
    gravity = page.get_by_label("Gravity", exact=True)
    gravity.fill("1.0")
    path = logbook / "readings.csv"
    path.write_text("\n".join([*rows, rows[-1]]) + "\n", encoding="utf-8")
    answer = page.get_by_role("heading", level=2).filter(has_text=f"{len(rows)} readings")
    answer.wait_for()
    assert gravity.input_value() == "1.0"


def test_two_quick_clicks_write_one_row(page, served, logbook):
    before = _readings(logbook)
    _open(page, f"{served}/add")
    page.get_by_label("Gravity", exact=True).fill("1.011")
    page.get_by_role("button", name=WRITE).first.dblclick()
    page.get_by_text(f"readings.csv has {len(before)} rows now.").wait_for()
    _settled(page)
    page.wait_for_timeout(3000)
    assert len(_readings(logbook)) == len(before) + 1


@pytest.mark.parametrize("page", SIZES, indirect=True)
def test_old_notes_come_into_an_empty_folder(page, served_empty):
    address, folder = served_empty
    _open(page, address)
    assert page.get_by_text("There is no logbook in this folder yet.").is_visible()
    _keep(page, "begin")
    page.locator("input[type=file]").set_input_files(MESSY / "09_gallons_country_unknown.csv")
    question = page.get_by_role("radiogroup", name="Which gallon")
    question.wait_for()
    _settled(page)
    question.scroll_into_view_if_needed()
    _keep(page, "notes-asked")
    assert not list(folder.glob("*.csv"))
    question.get_by_text("imperial, 4.546 L").click()
    started = page.get_by_label("Batch A", exact=True)
    started.fill("2024-03-01")
    started.press("Enter")
    _settled(page)
    write = page.get_by_role("button", name=INTO)
    write.scroll_into_view_if_needed()
    _keep(page, "notes-found")
    write.click()
    page.get_by_text("Written: 5 batches").wait_for()
    _settled(page)
    _keep(page, "notes-written")
    page.get_by_role("link", name="What is on the shelf?").last.click()
    page.get_by_role("heading", level=2).filter(has_text="1 batch").wait_for()
    assert (folder / "batches.csv").read_text(encoding="utf-8").count("\n") == 6
