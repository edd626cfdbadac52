"""The five pages in a real browser: drawn, readable on a phone, and asking nobody else."""

from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

PAGES = {
    "": "What is on the shelf?",
    "volume": "Will it fill the vessel?",
    "dryness": "How dry will it finish?",
    "harsh": "Why is it harsh?",
    "recipes": "Which recipe next?",
}
SIZES = {390: 844, 1440: 900}
SHOTS = Path(__file__).parent / "shots"
PATIENCE = 60_000  # [ms] the first answer learns from all batches
WIDER_THAN_THE_WINDOW = """() => {
    const main = document.querySelector('[data-testid=stMain]');
    return main.scrollWidth - main.clientWidth;
}"""


@pytest.fixture
def page(request, browser):
    width = request.param
    context = browser.new_context(viewport={"width": width, "height": SIZES[width]})
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.asked, page.complaints = set(), []
    page.on("request", lambda sent: page.asked.add(sent.url))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    yield page
    context.close()


def _open(page, address, name):
    page.goto(f"{address}/{name}")
    page.get_by_text("How sure, and why").wait_for()
    # A plot that says in words what it shows, for those who cannot see it.
    page.locator("[data-testid=stVegaLiteChart][aria-label] svg").first.wait_for()
    page.wait_for_function("!document.querySelector('[data-stale=true]')")


@pytest.mark.parametrize("page", SIZES, indirect=True)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_drawn_and_keeps_to_its_window(name, page, served):
    _open(page, served, name)
    SHOTS.mkdir(exist_ok=True)
    page.screenshot(path=SHOTS / f"{name or 'shelf'}-{page.viewport_size['width']}.png")
    assert page.get_by_role("heading", level=1).inner_text() == PAGES[name]
    assert page.locator("[data-testid=stException], [data-testid=stAlert]").count() == 0
    assert page.evaluate(WIDER_THAN_THE_WINDOW) <= 0
    assert page.complaints == []
    own = (served, served.replace("http", "ws"), "data:", "blob:")
    assert {url for url in page.asked if not url.startswith(own)} == set()


@pytest.mark.parametrize("page", [1440], indirect=True)
def test_a_saved_file_is_followed_without_a_click(page, served, logbook):
    _open(page, served, "")
    answer = page.get_by_role("heading", level=2)
    before = answer.inner_text()
    path = logbook / "batches.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    cells = lines[1].split(",")
    cells[0] = "added meanwhile"
    path.write_text("\n".join([*lines, ",".join(cells)]) + "\n", encoding="utf-8")
    page.wait_for_function(
        "before => document.querySelector('h2').innerText !== before", arg=before
    )
    assert answer.inner_text().startswith(f"{int(before.split()[0]) + 1} batches")
