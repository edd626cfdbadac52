"""Building the cellar: checked frames in, one DuckDB file out, swapped in with a rename."""

import hashlib
import os
import shutil
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

import duckdb
import polars as pl
from filelock import FileLock, Timeout

import pipeline
from pipeline.cellar.comments import write_comments
from pipeline.cellar.formulas import register_formulas
from pipeline.cellar.notes import keep
from pipeline.cellar.sources import sources_of
from pipeline.cellar.store import Cellar
from pipeline.errors import LogbookError
from pipeline.files import project_file
from pipeline.logbook import read_logbook

FOLDER = ".hedgerow"
FILE = "cellar.duckdb"
LOCK_SECONDS = 120
# What the tables are worked out in; beyond it DuckDB goes on in a folder beside the file.
WORKING_MEMORY = "600MB"


def sql_files(tables: Iterable[str] | None = None) -> list[Path]:
    """Return the numbered files of `sql/` in order, all of them or those that make `tables`."""
    wanted = None if tables is None else set(tables)
    return [
        path
        for path in sorted(project_file("sql").glob("*.sql"))
        if wanted is None or path.stem.split("_", 1)[1] in wanted
    ]


def run_sql(
    connection: duckdb.DuckDBPyConnection,
    sources: dict[str, pl.DataFrame],
    tables: Iterable[str] | None = None,
) -> None:
    """Run the files of `sql/` over the given source frames.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        Empty database, written to.
    sources : dict of str to polars.DataFrame
        The frames that the first layer reads (see `pipeline.cellar.sources`); taken out of it once
        they are read.
    tables : iterable of str, optional
        Build only these tables; everything they read must be among them.
    """
    register_formulas(connection)
    for name, frame in sources.items():
        # With text as polars keeps it: otherwise every cell is copied once more.
        connection.register(name, frame.to_arrow(compat_level=pl.CompatLevel.newest()))
    files = [path.read_text(encoding="utf-8") for path in sql_files(tables)]
    for at, text in enumerate(files):
        connection.execute(text)
        if "create table" in text:
            _let_go(connection, sources, text, files[at + 1 :])
    for name in sources:
        connection.unregister(name)


def _let_go(
    connection: duckdb.DuckDBPyConnection,
    sources: dict[str, pl.DataFrame],
    text: str,
    later: list[str],
) -> None:
    """Forget the frames that a file has read and no later one will: each may be large."""
    for name in [name for name in sources if name in text]:
        if not any(name in other for other in later):
            connection.unregister(name)
            del sources[name]


def fingerprint(folder: Path, today: date) -> str:
    """Return what the cellar depends on: source files, the program, and the day.

    The day counts because an entry dated tomorrow is an error today.
    """
    digest = hashlib.blake2b(digest_size=16)
    digest.update(f"{pipeline.__version__} {today.isoformat()}".encode())
    program = [*project_file("sql").iterdir(), *project_file("data", "reference").glob("*.csv")]
    program += Path(pipeline.__file__).parent.rglob("*.py")
    logbook = [path for path in folder.iterdir() if path.is_file()]
    for path in sorted(program) + sorted(logbook):
        stat = path.stat()
        digest.update(f"{path.name} {stat.st_size} {stat.st_mtime_ns}\n".encode())
    return digest.hexdigest()


def load_cellar(
    folder: Path, *, today: date | None = None, say: Callable[[str], None] = lambda _: None
) -> Cellar:
    """Return the logbook's cellar, building it first if anything it rests on has changed.

    Parameters
    ----------
    folder : pathlib.Path
        The logbook.
    today : datetime.date, optional
        The day against which 'in the future' is judged; by default today.
    say : callable, optional
        Told in a few words when work begins that may take a while.

    Returns
    -------
    Cellar

    Raises
    ------
    LogbookError
        If the logbook cannot be read, or nothing can be written beside it.
    """
    day = today or date.today()
    if not folder.is_dir():
        # The reader words this refusal; without a folder there is nothing to take stock of.
        read_logbook(folder, today=day)
    home = folder / FOLDER
    try:
        home.mkdir(exist_ok=True)
        with FileLock(home / "build.lock", timeout=LOCK_SECONDS):
            mark = fingerprint(folder, day)
            cellar = Cellar(home / FILE)
            if cellar.fingerprint() != mark:
                say("reading the logbook")
                _build(folder, home, mark, day)
            return keep(cellar)
    except Timeout as error:
        raise LogbookError(
            f"Another hedgerow has been building {home} for over {LOCK_SECONDS // 60} minutes. "
            "Wait for it, or end it, and try again."
        ) from error
    except OSError as error:
        raise LogbookError(
            f"hedgerow keeps what it works out in {home}, and cannot write there: "
            f"{error.strerror or error}. Give yourself write access, or copy the logbook."
        ) from error


def _build(folder: Path, home: Path, mark: str, today: date) -> None:
    """Build beside the old file and rename over it: a reader sees the old cellar or the new."""
    sources = sources_of(read_logbook(folder, today=today))
    for stale in home.glob(f"{FILE}.new-*"):
        _remove(stale)
    fresh = home / f"{FILE}.new-{os.getpid()}"
    connection = duckdb.connect(str(fresh), config={"memory_limit": WORKING_MEMORY})
    try:
        run_sql(connection, sources)
        write_comments(connection, sql_files())
        connection.execute("create table built (fingerprint varchar)")
        connection.execute("insert into built values (?)", [mark])
    finally:
        connection.close()
    fresh.replace(home / FILE)


def _remove(stale: Path) -> None:
    """Remove what an interrupted build left: the file, or the folder DuckDB went on in."""
    if stale.is_dir():
        shutil.rmtree(stale)
    else:
        stale.unlink()
