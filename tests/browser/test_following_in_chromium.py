"""The page follows the files as somebody saves them, in a real browser."""

import pytest
from browser.visiting import DESK, ended, visiting

pytestmark = pytest.mark.slow


def test_a_saved_file_is_followed_without_a_click(browser, served, logbook):
    with visiting(browser, DESK) as page:
        page.goto(served)
        ended(page)
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
