"""A real browser, one for all tests: without one they skip, in CI they fail."""

import os

import pytest
from browser.serving import FLAGS, NAMES, browser_path
from playwright.sync_api import sync_playwright


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
