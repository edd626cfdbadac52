"""The recipe sheet printed by a real browser, on both papers that kitchens have."""

from datetime import date

import pytest

from pipeline.advice import sheet
from pipeline.cellar import load_cellar
from pipeline.show.page import write_page
from pipeline.show.sheet_page import sheet_html
from pipeline.show.units import Units

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def page_file(logbook, tmp_path_factory):
    cellar = load_cellar(logbook)
    recipe = cellar.table("staged_recipes")["recipe"][0]
    data = sheet.answer(cellar, recipe, 10.0, date(2026, 9, 12))
    path = tmp_path_factory.mktemp("sheet") / "sheet.html"
    write_page(sheet_html(data, Units("imperial", "GBP")), path)
    return path


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_a_few_pages_and_asks_nobody(paper, page_file, browser):
    page = browser.new_page()
    asked, said = [], []
    page.on("request", lambda sent: asked.append(sent.url))
    page.on("console", lambda message: said.append(message.text))
    page.goto(page_file.as_uri())
    pdf = page.pdf(format=paper)
    page.close()
    assert pdf.startswith(b"%PDF")
    assert 2 <= pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") <= 4
    assert asked == [page_file.as_uri()]
    assert said == []


def test_it_fits_a_phone(page_file, browser):
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(page_file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.close()
