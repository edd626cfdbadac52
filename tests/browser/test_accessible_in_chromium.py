"""Every page, wide and narrow, by day and by night: drawn, under axe-core, asking nobody else."""

from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.visiting import DESK, PHONE, asked_elsewhere, ended, keep, rest, unfold, visiting

from app.questions import PAGES

pytestmark = pytest.mark.slow

MESSY = Path(__file__).parents[1] / "whole" / "messy"
# A plot that says in words what it shows, for those who cannot see it.
PLOTTED = "[data-testid=stVegaLiteChart][aria-label] svg"
WITHOUT_PLOT = ("add",)


@pytest.fixture(scope="module", params=["light", "dark"])
def page(request, browser):
    with visiting(browser, PHONE, color_scheme=request.param) as page:
        page.scheme = request.param
        yield page


def _serious(page):
    """Return what axe-core finds serious, each with its place and what to do."""
    rest(page)
    found = Axe().run(page).response
    assert found["passes"]
    return [
        (rule["id"], node["html"], node["failureSummary"])
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_drawn_for_everybody(name, page, served):
    page.set_viewport_size(PHONE)
    page.goto(f"{served}/{name}")
    page.get_by_role("heading", level=1, name=PAGES[name]).wait_for()
    ended(page)
    if name not in WITHOUT_PLOT:
        page.locator(PLOTTED).first.wait_for()
    for size in (PHONE, DESK):
        page.set_viewport_size(size)
        keep(page, f"{name}-{page.scheme}")
        assert _serious(page) == []
    assert page.locator("[data-testid=stException], [data-testid=stAlert]").count() == 0
    assert asked_elsewhere(page, served) == set()


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
        unfold(page, sheet.name)
    page.get_by_text("Held back until you say").first.wait_for()
    assert _serious(page) == []
