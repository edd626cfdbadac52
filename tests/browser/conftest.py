"""A real browser on a really served page; without a browser these tests skip, in CI they fail."""

import os
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from playwright.sync_api import sync_playwright

from pipeline.files import project_file

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SECONDS_TO_START = 60


@pytest.fixture(scope="session")
def browser():
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        reason = f"no browser on this machine (looked for {', '.join(NAMES)})"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def logbook(tmp_path_factory):
    """The demo's logbook, to be written to."""
    folder = tmp_path_factory.mktemp("served") / "club"
    folder.mkdir()
    demo = project_file("data", "demo")
    for path in (*demo.glob("*.csv"), demo / "logbook.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


@pytest.fixture(scope="session")
def served(logbook, tmp_path_factory):
    """Serve the page as `hedgerow app` does, and return its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    call = [sys.executable, "-c", "import sys; from pipeline.cli import main; sys.exit(main())"]
    log = tmp_path_factory.mktemp("log") / "server.txt"
    with log.open("w") as output:
        server = subprocess.Popen(
            [*call, "app", str(logbook), "--port", str(port), "--no-browser"],
            stdout=output,
            stderr=subprocess.STDOUT,
        )
        address = f"http://127.0.0.1:{port}"
        try:
            _wait(address, server, log)
            yield address
        finally:
            server.terminate()
            server.wait(timeout=20)


def _wait(address: str, server: subprocess.Popen, log: Path) -> None:
    for _ in range(SECONDS_TO_START * 4):
        if server.poll() is not None:
            pytest.fail(f"the page did not start: {log.read_text()}")
        try:
            with urlopen(f"{address}/_stcore/health"):
                return
        except URLError:
            time.sleep(0.25)
    pytest.fail(f"the page was not served within {SECONDS_TO_START} s: {log.read_text()}")
