"""A real browser on a really served page; without a browser these tests skip, in CI they fail."""

import os

import pytest
from browser.serving import FLAGS, NAMES, browser_path, serving
from playwright.sync_api import sync_playwright

from pipeline.files import project_file


@pytest.fixture(scope="session")
def browser():
    found = browser_path()
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
    with serving(logbook, tmp_path_factory.mktemp("log") / "server.txt") as address:
        yield address


@pytest.fixture
def served_empty(tmp_path):
    """Serve the page on an empty folder, and return its address and the folder."""
    folder = tmp_path / "mine"
    folder.mkdir()
    with serving(folder, tmp_path / "server.txt") as address:
        yield address, folder
