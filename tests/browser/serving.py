"""The page served on a logbook as `hedgerow app` does, and the browser that looks at it."""

import contextlib
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

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


def browser_path() -> str | None:
    """Return the path of a browser, or None."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


@contextlib.contextmanager
def serving(logbook: Path, log: Path) -> Iterator[str]:
    """Serve the page on a logbook, and give its address."""
    called = ["-c", "import sys; from pipeline.cli import main; sys.exit(main())", "app"]
    with _serving([*called, str(logbook), "--no-browser", "--port"], log) as address:
        yield address


@contextlib.contextmanager
def serving_script(script: Path, log: Path) -> Iterator[str]:
    """Serve a script of its own as a page, and give its address."""
    called = ["-m", "streamlit", "run", str(script), "--server.headless", "true"]
    with _serving([*called, "--server.port"], log) as address:
        yield address


@contextlib.contextmanager
def _serving(called: list[str], log: Path) -> Iterator[str]:
    """Serve by a call of Python whose last word is the port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with log.open("w") as output:
        server = subprocess.Popen(
            [sys.executable, *called, str(port)], stdout=output, stderr=subprocess.STDOUT
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
            raise RuntimeError(f"the page did not start: {log.read_text()}")
        try:
            with urlopen(f"{address}/_stcore/health"):
                return
        except URLError:
            time.sleep(0.25)
    raise RuntimeError(f"the page was not served within {SECONDS_TO_START} s: {log.read_text()}")
