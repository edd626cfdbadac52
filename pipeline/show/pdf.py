"""A page as a PDF, printed by a browser that is on the machine; none is fetched."""

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pipeline.errors import HedgerowError

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge", "microsoft-edge")
_SECONDS = 90
_FLAGS = (
    "--headless",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)


def find_browser() -> str | None:
    """Return the path of a browser that can print, or None."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def write_pdf(page: Path, path: Path, paper: str) -> None:
    """Print a page to a PDF file.

    Parameters
    ----------
    page : pathlib.Path
        An HTML file of our own, which loads nothing and runs nothing.
    path : pathlib.Path
        Where to.
    paper : str
        ``A4`` or ``Letter``. The page itself names neither, so that who prints it may choose.

    Raises
    ------
    HedgerowError
        If there is no browser, or it did not print.
    """
    browser = find_browser()
    if browser is None:
        raise HedgerowError(
            f"{page} is written, but no browser was found to make the PDF (looked for "
            f"{', '.join(BROWSERS)}). Open the page in your own browser and print it to a file."
        )
    with _sized(page, paper) as sized, tempfile.TemporaryDirectory() as profile:
        call = [browser, *_FLAGS, *_sandbox(), f"--user-data-dir={profile}"]
        call += [f"--print-to-pdf={path.resolve()}", sized.as_uri()]
        try:
            done = subprocess.run(call, capture_output=True, timeout=_SECONDS, check=False)
            failed = done.returncode != 0 or not path.exists()
        except subprocess.TimeoutExpired:
            failed = True
    if failed:
        raise HedgerowError(
            f"{page} is written, but {Path(browser).name} could not print it to {path}. Open the "
            "page in your own browser and print it to a file."
        )


@contextmanager
def _sized(page: Path, paper: str) -> Iterator[Path]:
    """Give the page with its paper named, beside it: some browsers may read nowhere else."""
    text = page.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory(prefix="print-", dir=page.resolve().parent) as folder:
        sized = Path(folder) / page.name
        sized.write_text(text.replace("@page {", f"@page {{ size: {paper};", 1), encoding="utf-8")
        yield sized


def _sandbox() -> tuple[str, ...]:
    """Return the flag without which a browser refuses to run as root."""
    import os

    is_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return ("--no-sandbox",) if is_root else ()
