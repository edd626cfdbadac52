"""The whole job in one sitting and a real browser: from an empty folder to a counted reading."""

from pathlib import Path

import pytest
from browser.visiting import DESK, PHONE, keep, rest, unfold, visiting

pytestmark = pytest.mark.slow

HERE = Path(__file__).parent
SHEETS = [HERE / "jars.csv", HERE / "glasses.csv"]
GALLON = ("Which gallon", "imperial, 4.546 L")
# What else the two sheets cannot tell, and what their maker answers.
ANSWERS = {
    "On which day was the final reading": "day 60",
    "Fruit kg: '1.360' in line 8": "1.36 kg",
    "Out of how many points are the scores": "20",
}
LINES = [
    ("fruit", "elderberry", "2 kg"),
    ("sugar", "white sugar", "1.1 kg"),
    ("water", "water", "to 4.5 L"),
]
READING = {"Gravity": "1.021", "Day": "2025-10-12"}


@pytest.fixture
def page(browser):
    with visiting(browser, DESK, accept_downloads=True) as page:
        yield page


def _shoot(page, name):
    """Keep the page as a phone and as a desk show it."""
    rest(page)
    for size in (PHONE, DESK):
        page.set_viewport_size(size)
        keep(page, f"job-{name}")


def _go(page, question):
    """Follow a link of the side bar, and return the answer once it stands there."""
    page.get_by_test_id("stSidebar").get_by_role("link", name=question).click()
    page.get_by_role("heading", level=1, name=question).wait_for()
    page.get_by_text("How sure, and why").wait_for()
    rest(page)
    return page.get_by_role("heading", level=2).first.inner_text()


def _bring_in(page, folder):
    """Upload the sheets, answer what only their maker knows, and write."""
    page.locator("input[type=file]").set_input_files(SHEETS)
    page.get_by_text("They become 30 batches").wait_for()
    rest(page)
    for sheet in SHEETS:
        unfold(page, sheet.name)
    asked, answer = GALLON
    page.get_by_role("radiogroup", name=asked).get_by_text(answer).click()
    page.get_by_text("jars.csv: 30 rows, 1 question open").wait_for()
    _shoot(page, "asked")
    for label, typed in ANSWERS.items():
        field = page.get_by_label(label)
        field.fill(typed)
        field.press("Enter")
        rest(page)
    assert list(folder.iterdir()) == []
    # What is pressed before the last answer has been looked at is not written.
    page.locator("summary", has_text="question").first.wait_for(state="detached")
    rest(page)
    page.get_by_role("button", name="Write into the logbook").click()
    page.get_by_text("Written: 30 batches").wait_for()
    _shoot(page, "written")


def _write_recipe(page):
    """Write a recipe down, a line at a time."""
    page.get_by_role("tab", name="Recipe").click()
    form = page.get_by_role("tabpanel").filter(has_text="Recipe it belongs to")
    form.get_by_label("Recipe it belongs to").fill("hedge elder")
    form.get_by_label("Wine it aims at").fill("4.5 L")
    form.get_by_label("Yeast", exact=True).fill("Millrace")
    for number, (kind, ingredient, amount) in enumerate(LINES, start=1):
        form.get_by_label("Sort of thing").click()
        page.get_by_role("option", name=kind, exact=True).click()
        form.get_by_label("What goes in").fill(ingredient)
        amount_field = form.get_by_label("How much")
        amount_field.fill(amount)
        amount_field.press("Enter")
        page.get_by_text(f"recipes.csv has {number} row").wait_for()
        rest(page)


def _adjusted(page):
    """Type another amount of sugar, and wait for what the page foresees of it."""
    page.get_by_text("Other amounts").click()
    sugar = page.get_by_label("White sugar")
    sugar.fill("0.9 kg")
    sugar.press("Enter")
    page.get_by_role("columnheader", name="as chosen").wait_for()
    rest(page)


def _saved(page, button, tmp_path):
    """Take a file along as the browser saves it, and return its path."""
    with page.expect_download() as saving:
        page.get_by_role("button", name=button).click()
    path = tmp_path / saving.value.suggested_filename
    saving.value.save_as(path)
    return path


def _add_reading(page):
    page.set_viewport_size(PHONE)
    for label, typed in READING.items():
        page.get_by_label(label, exact=True).first.fill(typed)
    page.get_by_label("Gravity", exact=True).press("Enter")
    page.get_by_text("Written for J30: Gravity 1.021").wait_for()
    _shoot(page, "reading")


def test_from_an_empty_folder_to_a_counted_reading(page, served_empty, tmp_path):
    address, folder = served_empty
    page.goto(address)
    page.get_by_text("There is no logbook in this folder yet.").wait_for()
    _bring_in(page, folder)
    _write_recipe(page)

    assert "fill" in _go(page, "Will it fill the vessel?")
    assert {"Damson", "Elderberry", "Plum", "Rhubarb"} <= {
        text.capitalize() for text in page.locator("svg text").all_text_contents()
    }
    _shoot(page, "volume")
    # So few batches cannot tell the yeasts apart in one must, and the page must not say so.
    alike = _go(page, "How dry will it finish?")
    assert "your yeasts finish alike" in alike
    assert "(Lantern)" in alike
    _shoot(page, "yeasts")
    assert "Harsher glasses go with" in _go(page, "Why is it harsh?")
    _shoot(page, "harsh")

    _go(page, "Which recipe next?")
    _adjusted(page)
    _shoot(page, "adjusted")
    sheet = _saved(page, "Page to print", tmp_path)
    assert "hedge elder" in sheet.read_text(encoding="utf-8")
    assert "BEGIN:VCALENDAR" in _saved(page, "Calendar file", tmp_path).read_text(encoding="utf-8")

    page.get_by_test_id("stSidebar").get_by_role("link", name="What is there").click()
    page.get_by_text("Bring in old notes").wait_for()
    _add_reading(page)
    page.set_viewport_size(DESK)
    assert _go(page, "What is on the shelf?").startswith("30 batches")
    page.locator("svg text", has_text="1.021 on day 11").first.wait_for()
    _shoot(page, "counted")
