"""The built wheel runs outside the checkout, with all its data and SQL."""

import os
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

import pipeline

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
RUN = "import sys; from pipeline.cli import main; sys.exit(main())"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The sdist, and the wheel that was built from it."""
    folder = tmp_path_factory.mktemp("dist")
    call = [sys.executable, "-m", "build", "--outdir", str(folder), str(ROOT)]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    (sdist,), (wheel,) = folder.glob("*.tar.gz"), folder.glob("*.whl")
    return sdist, wheel


@pytest.fixture(scope="module")
def installed(built, tmp_path_factory):
    """The wheel alone in a folder; what it depends on comes from this environment."""
    target = tmp_path_factory.mktemp("site")
    call = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", str(target)]
    subprocess.run([*call, str(built[1])], check=True)
    return target


def _run(installed, folder, *words):
    environment = os.environ | {"PYTHONPATH": str(installed)}
    call = [sys.executable, "-c", RUN, *words]
    return subprocess.run(
        call, cwd=folder, env=environment, capture_output=True, text=True, check=False
    )


def test_version_and_files_are_where_they_should_be(built):
    sdist, wheel = built
    version = pipeline.__version__
    assert f"-{version}" in sdist.name
    assert f"-{version}-" in wheel.name
    with zipfile.ZipFile(wheel) as inside:
        names = inside.namelist()
    assert "pipeline/_files/sql/470_batches.sql" in names
    assert "pipeline/_files/data/demo/batches.csv" in names
    assert "pipeline/_files/data/reference/fruit.csv" in names
    assert "app/app_pages/shelf.py" in names
    assert not [name for name in names if name.startswith("tests/")]
    with tarfile.open(sdist) as inside:
        assert any(name.endswith("/LICENSE") for name in inside.getnames())


def test_the_demo_runs_from_the_wheel_outside_the_checkout(installed, tmp_path):
    where = [sys.executable, "-c", "import pipeline; print(pipeline.__file__)"]
    environment = os.environ | {"PYTHONPATH": str(installed)}
    found = subprocess.run(
        where, cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    )
    assert Path(found.stdout.strip()).is_relative_to(installed)
    done = _run(installed, tmp_path, "demo")
    assert done.returncode == 0, done.stderr
    assert "Which fruit loads give full volume?" in done.stdout
    assert (tmp_path / "hedgerow-demo" / ".hedgerow" / "cellar.duckdb").exists()


def test_the_page_files_are_found_from_the_wheel(installed, tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", "import app, pathlib; print(pathlib.Path(app.__file__).parent)"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=True,
    )
    page = Path(done.stdout.strip())
    assert page.is_relative_to(installed)
    named = re.findall(r'^    "(\w+)": "', (page / "questions.py").read_text("utf-8"), re.MULTILINE)
    assert named
    for name in named:
        assert (page / "app_pages" / f"{name}.py").exists()
