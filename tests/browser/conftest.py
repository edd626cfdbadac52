"""A really served page for the browser to look at."""

import pytest
from browser.serving import serving

from pipeline.files import project_file


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
