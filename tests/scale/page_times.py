"""Time a change of page on the demo and on a long logbook, beside an empty page, in one run.

Run from the project's folder: `python tests/scale/page_times.py [--batches 10000] [--times 7]`.
The page is served as `hedgerow app` serves it, and one of a title only by the same server program.
A real Chromium follows the links of the side bar. A change is *answered* when the browser has the
server's word that the page has run to its end, and *drawn* when nothing on it is stale any more and
every plot has its picture. *Server* is the processor time that it takes the server, on which other
work on the machine tells least.

Each logbook is loaded and fitted first: every page is opened once before anything is timed. Then
pages are changed in turn, each beside a change of the empty page, and the least counts, so that
other work on the machine weighs little. Not a test: it prints seconds and ratios.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.serving import FLAGS, browser_path, serving, serving_script
from playwright.sync_api import Browser, sync_playwright
from scale.long_logbook import write_long_logbook
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from pipeline.cellar import load_cellar
from pipeline.demo import write_demo

# As app/main.py has them, which runs when it is imported.
PAGES = (
    ("shelf", "What is on the shelf?"),
    ("add", "What is there to write down?"),
    ("volume", "Will it fill the vessel?"),
    ("dryness", "How dry will it finish?"),
    ("harsh", "Why is it harsh?"),
    ("recipes", "Which recipe next?"),
    ("bench", "What does this wine need?"),
    ("batch", "How did this batch go?"),
    ("problems", "What the logs got wrong"),
)

EMPTY = """import streamlit as st


def one():
    st.title("One")


def two():
    st.title("Two")


st.set_page_config(layout="wide")
pages = [st.Page(one, title="One", default=True), st.Page(two, title="Two", url_path="two")]
st.navigation(pages).run()
"""
DRAWN = """question => document.querySelector('h1')?.innerText === question
    && !document.querySelector('[data-stale=true], [data-testid=stSkeleton]')
    && [...document.querySelectorAll('[data-testid=stVegaLiteChart]')].every(
        plot => plot.querySelector('svg, canvas'))"""
Times = tuple[float, float, float]
PATIENCE = 600_000  # [ms] the first answers learn from all batches


def processor_seconds(address: str) -> float:
    """Return what the server at an address has spent so far, all its threads together."""
    port = address.rpartition(":")[2].encode()
    for folder in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if (folder / "cmdline").read_bytes().split(b"\0")[-2:-1] == [port]:
                cells = (folder / "stat").read_text().rpartition(")")[2].split()
                return (int(cells[11]) + int(cells[12])) / os.sysconf("SC_CLK_TCK")
    raise RuntimeError(f"nothing serves {address}")


class Visit:
    """A browser's page on a served app, and when its server said last that it has run."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.page = browser.new_page(viewport={"width": 1440, "height": 900})
        self.page.set_default_timeout(PATIENCE)
        self.address = address
        self.finished = 0.0
        self.page.on("websocket", lambda socket: socket.on("framereceived", self._heard))
        self.page.goto(address)

    def _heard(self, frame: str | bytes) -> None:
        message = ForwardMsg()
        message.ParseFromString(frame if isinstance(frame, bytes) else frame.encode())
        # The page also looks at the logbook every few seconds, which ends with another word.
        is_end = message.WhichOneof("type") == "script_finished"
        if is_end and message.script_finished == ForwardMsg.FINISHED_SUCCESSFULLY:
            self.finished = time.perf_counter()

    def change(self, title: str) -> tuple[float, float, float]:
        """Go to a page by its link; return seconds until answered, until drawn, and of work."""
        link = self.page.get_by_test_id("stSidebar").get_by_role("link", name=title, exact=True)
        link.wait_for()
        self.finished = 0.0
        spent = processor_seconds(self.address)
        started = time.perf_counter()
        link.click()
        self.page.wait_for_function(DRAWN, arg=title, polling="raf")
        while not self.finished:
            self.page.wait_for_timeout(5)
        self.page.wait_for_function(DRAWN, arg=title, polling="raf")
        drawn = time.perf_counter() - started
        worked = processor_seconds(self.address) - spent
        return self.finished - started, drawn, worked


def least(times: list[Times]) -> Times:
    """Return the least of the seconds until answered, of those until drawn, and the mean work."""
    answered, drawn, worked = zip(*times, strict=True)
    # The clock of processor time ticks a hundred times a second: only a mean tells.
    return min(answered), min(drawn), sum(worked) / len(worked)


def measured(browser: Browser, own: str, empty: str, times: int) -> dict[str, list[float]]:
    """Return for each page its seconds, and the ratios to the empty page timed beside it."""
    beside, visit = Visit(browser, empty), Visit(browser, own)
    for _, title in PAGES:
        visit.change(title)
    found: dict[str, list[Times]] = {title: [] for _, title in PAGES}
    bare: list[Times] = []
    for _ in range(times):
        for title in found:
            found[title].append(visit.change(title))
            bare.append(beside.change("Two" if len(bare) % 2 == 0 else "One"))
    base = least(bare)
    print(f"an empty page: answered {base[0]:.3f} s, drawn {base[1]:.3f} s, server {base[2]:.3f} s")
    visit.page.close()
    beside.page.close()
    return {
        title: [*least(taken), *(a / b for a, b in zip(least(taken), base, strict=True))]
        for title, taken in found.items()
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=10_000)
    parser.add_argument("--times", type=int, default=7)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as room, sync_playwright() as playwright:
        folder = Path(room)
        (folder / "empty.py").write_text(EMPTY, encoding="utf-8")
        demo, long = folder / "demo", folder / "long"
        write_demo(demo)
        long.mkdir()
        write_long_logbook(long, asked.batches)
        load_cellar(long)
        browser = playwright.chromium.launch(executable_path=browser_path(), args=FLAGS)
        with serving_script(folder / "empty.py", folder / "empty.txt") as empty:
            for name, logbook in {"the demo": demo, f"{asked.batches} batches": long}.items():
                with serving(logbook, folder / "own.txt") as own:
                    print(f"\n{name}")
                    print_table(measured(browser, own, empty, asked.times))
        browser.close()


def print_table(rows: dict[str, list[float]]) -> None:
    """Print a page a line: seconds, and how many times an empty page's."""
    print(f"{'page':28}{'answered':>16}{'drawn':>16}{'server':>16}")
    for title, (*seconds, answered, drawn, worked) in rows.items():
        ratios = (answered, drawn, worked)
        cells = [f"{one:8.3f} s{times:5.1f}x" for one, times in zip(seconds, ratios, strict=True)]
        print(f"{title:28}{''.join(cells)}")


if __name__ == "__main__":
    main()
