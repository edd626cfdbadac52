"""Time a change of page on the demo and on a long logbook, beside an empty page, in one run.

Run from the project's folder: `python tests/scale/page_times.py [--batches 10000] [--times 7]`.
The page is served as `hedgerow app` serves it, and one of a title only by the same server program.
A change is *answered* when the server says that the page has run to its end, all of it being sent;
a plain client of its socket asks, since a browser that draws meanwhile hears late. It is *drawn*
when a real Chromium that followed the link of the side bar has the whole run, shows nothing stale
any more and every plot has its picture. *Server* is the processor time that an answer takes, on
which other work on the machine tells least; *sent* is how much the browser is told, on which it
tells nothing.

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
from typing import cast

sys.path.insert(0, str(Path(__file__).parents[1]))

from browser.serving import FLAGS, browser_path, serving, serving_script
from playwright.sync_api import Browser, sync_playwright
from scale.long_logbook import write_long_logbook
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.sync.client import connect
from websockets.typing import Origin, Subprotocol

from app.questions import PAGES
from pipeline.cellar import load_cellar
from pipeline.demo import write_demo

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
    && document.querySelector('[data-test-script-state=notRunning]')
    && !document.querySelector('[data-stale=true], [data-testid=stSkeleton]')
    && [...document.querySelectorAll('[data-testid=stVegaLiteChart]')].every(
        plot => plot.querySelector('svg, canvas'))"""
Times = tuple[float, float, float, float]
PATIENCE = 600  # [s] the first answers learn from all batches


def processor_seconds(address: str) -> float:
    """Return what the server at an address has spent so far, all its threads together."""
    port = address.rpartition(":")[2].encode()
    for folder in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if (folder / "cmdline").read_bytes().split(b"\0")[-2:-1] == [port]:
                cells = (folder / "stat").read_text().rpartition(")")[2].split()
                return (int(cells[11]) + int(cells[12])) / os.sysconf("SC_CLK_TCK")
    raise RuntimeError(f"nothing serves {address}")


class Client:
    """Asks a served app for its pages over its socket, as a browser does, and draws nothing."""

    def __init__(self, address: str) -> None:
        self.address = address
        socket = f"ws{address.removeprefix('http')}/_stcore/stream"
        self.opened = contextlib.ExitStack()
        self.socket = self.opened.enter_context(
            connect(
                socket,
                subprotocols=[Subprotocol("streamlit")],
                origin=Origin(address),
                max_size=None,
            )
        )
        self.pages: dict[str, str] = {}
        self._run("")

    def change(self, title: str) -> tuple[float, float, float]:
        """Ask for a page; return seconds until answered, those of the server's work, and kB."""
        spent = processor_seconds(self.address)
        started = time.perf_counter()
        sent = self._run(self.pages[title])
        answered = time.perf_counter() - started
        return answered, processor_seconds(self.address) - spent, sent / 1000

    def _run(self, page: str) -> int:
        asked = BackMsg()
        asked.rerun_script.page_script_hash = page
        self.socket.send(asked.SerializeToString())
        told, sent = ForwardMsg(), 0
        while told.script_finished != ForwardMsg.FINISHED_SUCCESSFULLY or not _is_end(told):
            heard = cast(bytes, self.socket.recv(timeout=PATIENCE))
            sent += len(heard)
            told = ForwardMsg.FromString(heard)
            if told.WhichOneof("type") == "navigation":
                shown = [one for one in told.navigation.app_pages if not one.is_hidden]
                self.pages = {one.page_name: one.page_script_hash for one in shown}
        return sent


def _is_end(told: ForwardMsg) -> bool:
    return told.WhichOneof("type") == "script_finished"


class Visit:
    """A browser's page on a served app."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.page = browser.new_page(viewport={"width": 1440, "height": 900})
        self.page.set_default_timeout(1000 * PATIENCE)
        self.page.goto(address)

    def change(self, title: str) -> float:
        """Go to a page by its link; return seconds until it is drawn."""
        link = self.page.get_by_test_id("stSidebar").get_by_role("link", name=title, exact=True)
        link.wait_for()
        started = time.perf_counter()
        link.click()
        self.page.wait_for_function(DRAWN, arg=title, polling="raf")
        return time.perf_counter() - started


class Both:
    """A client and a browser's page on the same app."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.client, self.visit = Client(address), Visit(browser, address)

    def change(self, title: str) -> Times:
        """Change to a page in both; return seconds until answered, drawn and of work, and kB."""
        answered, worked, sent = self.client.change(title)
        return answered, self.visit.change(title), worked, sent

    def close(self) -> None:
        """Leave the app."""
        self.client.opened.close()
        self.visit.page.close()


def least(times: list[Times]) -> Times:
    """Return the least of the seconds until answered and drawn, the mean work, and the most kB."""
    answered, drawn, worked, sent = zip(*times, strict=True)
    # The clock of processor time ticks a hundred times a second: only a mean tells.
    return min(answered), min(drawn), sum(worked) / len(worked), max(sent)


def measured(browser: Browser, own: str, empty: str, times: int) -> dict[str, list[float]]:
    """Return for each page its seconds, and the ratios to the empty page timed beside it."""
    beside, visit = Both(browser, empty), Both(browser, own)
    for title in PAGES.values():
        visit.change(title)
    found: dict[str, list[Times]] = {title: [] for title in PAGES.values()}
    bare: list[Times] = []
    for _ in range(times):
        for title in found:
            found[title].append(visit.change(title))
            bare.append(beside.change("Two" if len(bare) % 2 == 0 else "One"))
    base = least(bare)
    print(f"an empty page: answered {base[0]:.3f} s, drawn {base[1]:.3f} s, server {base[2]:.3f} s")
    visit.close()
    beside.close()
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
    print(f"{'page':28}{'answered':>16}{'drawn':>16}{'server':>16}{'sent':>10}")
    for title, (*seconds, sent, answered, drawn, worked, _) in rows.items():
        ratios = (answered, drawn, worked)
        cells = [f"{one:8.3f} s{times:5.1f}x" for one, times in zip(seconds, ratios, strict=True)]
        print(f"{title:28}{''.join(cells)}{sent:7.0f} kB")


if __name__ == "__main__":
    main()
