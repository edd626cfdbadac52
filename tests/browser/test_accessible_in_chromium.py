"""Every page under axe-core, by day and by night, wide and narrow, and after it has refused."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.slow

PAGES = ["", "add", "volume", "dryness", "harsh", "recipes", "bench", "batch", "problems"]
MESSY = Path(__file__).parents[1] / "whole" / "messy"
PATIENCE = 90_000  # [ms]
AT_REST = (
    "!document.querySelector('[data-stale=true]') "
    "&& !document.querySelector('[data-testid=stSpinner]')"
)


DESK, PHONE = {"width": 1440, "height": 900}, {"width": 390, "height": 844}


@pytest.fixture(scope="module", params=["light", "dark"])
def page(request, browser):
    context = browser.new_context(viewport=DESK, color_scheme=request.param)
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


def _serious(page):
    """Return what axe-core finds serious, each with its place and what to do."""
    page.wait_for_function(AT_REST)
    found = Axe().run(page).response
    assert found["passes"]
    return [
        (rule["id"], node["html"], node["failureSummary"])
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("name", PAGES)
def test_nothing_keeps_anybody_out(page, served, name):
    page.goto(f"{served}/{name}")
    page.get_by_role("heading", level=2).first.wait_for()
    page.get_by_text("Bring in old notes" if name == "add" else "How sure, and why").wait_for()
    for size in (DESK, PHONE):
        page.set_viewport_size(size)
        assert _serious(page) == []


def test_a_refused_form_keeps_nobody_out(page, served):
    page.set_viewport_size(PHONE)
    page.goto(f"{served}/add")
    gravity = page.get_by_label("Gravity", exact=True)
    gravity.fill("1012")
    gravity.press("Enter")
    page.get_by_text("Not written.").wait_for()
    assert _serious(page) == []


def test_notes_set_aside_keep_nobody_out(page, served):
    page.set_viewport_size(PHONE)
    page.goto(f"{served}/add")
    sheets = (MESSY / "11_additions_dose_dangers.csv", MESSY / "05_notes_in_number_cells.csv")
    page.locator("input[type=file]").set_input_files(sheets)
    page.get_by_text("Nothing can be written yet").wait_for()
    for sheet in sheets:
        page.locator("summary", has_text=sheet.name).click()
    page.get_by_text("Held back until you say").first.wait_for()
    assert _serious(page) == []
