"""Somebody who looks at the page: their window, what goes wrong in it, and pictures of it."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page, TimeoutError

PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}  # [px]
SIZES = {size["width"]: size for size in (PHONE, DESK)}
PATIENCE = 90_000  # [ms] the first answer learns from all batches
REDRAWN = 10_000  # [ms] a plot in a window of another width, on a busy machine
SHOTS = Path(__file__).parent / "shots"
# The page asks to be run as soon as something is answered, long before anything is stale.
_AT_REST = (
    "document.querySelector('[data-test-script-state=notRunning]') "
    "&& !document.querySelector('[data-stale=true], [data-testid=stSpinner]') "
    "&& !document.querySelector('[data-testid=stSkeleton]')"
)
_FITS_THE_WINDOW = """() => {
    const main = document.querySelector('[data-testid=stMain]');
    return main.scrollWidth <= main.clientWidth;
}"""


# A window made narrow keeps the side bar over the page; one opened narrow has it away.
_AS_OPENED = "@media (max-width: 640px) { [data-testid=stSidebar] { display: none } }"


@contextlib.contextmanager
def visiting(browser: Browser, size: dict[str, int], **about) -> Iterator[Page]:
    """Give one person's page; whatever it asks for is kept, and nothing may go wrong in it."""
    context = browser.new_context(viewport=size, **about)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.asked, page.complaints = set(), []
    page.on("request", lambda sent: page.asked.add(sent.url))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    yield page
    assert page.complaints == []
    context.close()


def rest(page: Page) -> None:
    """Wait until everything the page shows is of its last run."""
    page.wait_for_function(_AT_REST)


def ended(page: Page) -> None:
    """Wait until the page stands there to its end, whichever it is."""
    page.get_by_role("heading", level=2).first.wait_for()
    page.get_by_role("heading", name="Bring in old notes").or_(
        page.get_by_role("heading", name="How sure, and why")
    ).wait_for()
    rest(page)


def unfold(page: Page, name: str) -> None:
    """Open a part of the page by its heading, unless it stands open: of one sheet alone it does."""
    part = page.locator("details", has=page.locator("summary", has_text=name))
    if part.get_attribute("open") is None:
        part.locator("summary").click()


def keep(page: Page, name: str) -> None:
    """Keep a picture of the page, which must not be wider than its window."""
    SHOTS.mkdir(exist_ok=True)
    path = SHOTS / f"{name}-{page.viewport_size['width']}.png"
    # A plot is drawn anew some moments after its window has changed.
    with contextlib.suppress(TimeoutError):
        page.wait_for_function(_FITS_THE_WINDOW, timeout=REDRAWN)
    page.screenshot(path=path, style=_AS_OPENED, animations="disabled")
    assert page.evaluate(_FITS_THE_WINDOW)


def asked_elsewhere(page: Page, address: str) -> set[str]:
    """Return what the page has asked of others than its own server."""
    own = (address, address.replace("http", "ws"), "data:", "blob:")
    return {url for url in page.asked if not url.startswith(own)}
