"""Take the picture of the page that README shows: ``python tests/browser/picture.py``."""

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from browser.serving import FLAGS, browser_path, serving  # noqa: E402  # the path just set

from pipeline.demo import write_demo  # noqa: E402

PICTURE = Path(__file__).parent / "page.png"
SIZE = {"width": 1180, "height": 800}  # [px] of a small laptop's window
PATIENCE = 120_000  # [ms] the first answer learns from all batches


def take_picture(page_name: str = "harsh") -> None:
    """Photograph one page of the demo's logbook."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        logbook = Path(folder) / "hedgerow-demo"
        write_demo(logbook)
        browser = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
        with serving(logbook, Path(folder) / "server.txt") as address:
            page = browser.new_page(viewport=SIZE)
            page.set_default_timeout(PATIENCE)
            page.goto(f"{address}/{page_name}")
            page.get_by_text("How sure, and why").wait_for()
            page.locator("[data-testid=stVegaLiteChart] svg").first.wait_for()
            page.wait_for_function("!document.querySelector('[data-stale=true]')")
            page.screenshot(path=PICTURE)
        browser.close()


if __name__ == "__main__":
    take_picture(*sys.argv[1:])
