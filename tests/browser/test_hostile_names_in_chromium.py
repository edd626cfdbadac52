"""Names made to run, on every page in a real browser: shown as typed, and nothing runs."""

import contextlib
import http.client
import socket

import pytest
from browser.serving import serving
from browser.visiting import DESK, asked_elsewhere, ended, visiting
from whole.hostile import HOSTILE, TASTER, YEAST, named_to_run

from app.questions import PAGES

pytestmark = pytest.mark.slow

WATCHED = "window.ran = []; window.alert = what => window.ran.push(what);"
NAMED_MARK = "[data-testid=stVegaLiteChart] svg path[aria-label*='<']"
MADE_OF_A_NAME = (
    "img[src=x], iframe, marquee, u, [onerror], [onload], [onclick], a[href^='javascript:'], "
    "[data-testid=stMain] a[href^='http://x'], [data-testid=stException]"
)


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    place = tmp_path_factory.mktemp("hostile")
    with serving(named_to_run(place), place / "server.txt") as served:
        yield served


@pytest.fixture
def page(browser):
    with visiting(browser, DESK) as page:
        page.add_init_script(WATCHED)
        yield page


def test_names_are_shown_as_typed_and_nothing_runs(page, address):
    said = told = ""
    for name in PAGES:
        page.goto(f"{address}/{name}")
        ended(page)
        said += page.locator("[data-testid=stMain]").inner_text()
        told += _tooltips(page)
        assert page.locator(MADE_OF_A_NAME).count() == 0, name
        assert page.evaluate("ran") == [], name
    assert {name for name in (HOSTILE[0], YEAST) if name not in said} == set()
    assert sum(name in said for name in HOSTILE) > 3
    assert " ".join(TASTER.split()) in said
    assert any(name in told for name in (*HOSTILE, YEAST, " ".join(TASTER.split())))
    assert "\u202e" not in said + told
    assert asked_elsewhere(page, address) == set()


def _tooltips(page):
    """Point at marks of hostile names, and return what is said there."""
    said = ""
    for mark in page.locator(NAMED_MARK).all()[:8]:
        mark.hover(force=True)
        said += page.locator("#vg-tooltip-element").inner_text() + "\n"
    return said


def _status(address, path, **headers):
    with contextlib.closing(http.client.HTTPConnection(address[7:], timeout=20)) as server:
        server.request("PUT" if "upload" in path else "GET", path, headers=headers)
        return server.getresponse().status


def test_the_page_server_keeps_other_machines_and_other_pages_out(address):
    shake = {
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA==",
    }
    assert _status(address, "/_stcore/stream", Origin=address, **shake) == 101
    assert _status(address, "/_stcore/stream", Origin="http://elsewhere.example", **shake) == 403
    # Nor may a page whose name was made to lead to this machine after it was loaded.
    by_name = address.replace("127.0.0.1", "localhost")
    assert _status(by_name, "/_stcore/stream", Origin=by_name, **shake) == 101
    renamed = shake | {"Host": "elsewhere.example", "Origin": "http://elsewhere.example"}
    assert _status(address, "/_stcore/stream", **renamed) == 403
    # An upload carries a token that a page of another origin cannot know.
    assert _status(address, "/_stcore/upload_file/of-somebody/a") == 403
    port = int(address.rsplit(":", 1)[1])
    with socket.socket() as other, pytest.raises(ConnectionRefusedError):
        other.connect(("127.0.0.2", port))
