"""Every page, by day and by night, under axe-core: nothing serious for those who read otherwise."""

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.slow

PAGES = ["", "add", "volume", "dryness", "harsh", "recipes", "bench", "batch", "problems"]
PATIENCE = 90_000  # [ms]
AT_REST = (
    "!document.querySelector('[data-stale=true]') "
    "&& !document.querySelector('[data-testid=stSpinner]')"
)


@pytest.fixture(scope="module", params=["light", "dark"])
def page(request, browser):
    context = browser.new_context(
        viewport={"width": 1440, "height": 900}, color_scheme=request.param
    )
    context.set_default_timeout(PATIENCE)
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("name", PAGES)
def test_nothing_keeps_anybody_out(page, served, name):
    page.goto(f"{served}/{name}")
    page.get_by_role("heading", level=2).first.wait_for()
    page.get_by_text("Bring in old notes" if name == "add" else "How sure, and why").wait_for()
    page.wait_for_function(AT_REST)
    found = Axe().run(page).response
    assert found["passes"]
    serious = [
        (rule["id"], node["html"], node["failureSummary"])
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]
    assert serious == []
