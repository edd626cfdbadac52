"""Building the cellar: checked frames in, one DuckDB file out, swapped in with a rename."""

import errno
import hashlib
import os
import re
import shutil
from collections.abc import Callable, Iterable
from datetime import date
from functools import cache
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
from pipeline.logbook.file_writing import repair
from pipeline.logbook.folder import stock

FOLDER = ".hedgerow"
FILE = "cellar.duckdb"
LOCK_SECONDS = 120
# What the tables are worked out in; beyond it DuckDB goes on in a folder beside the file.
WORKING_MEMORY = "600MB"
# A share of nothing is unknown, that is null, not infinite and not 'not a number'.
NULL_BY_NOUGHT = "set ieee_floating_point_ops = false; set error_on_division_by_zero = false;"


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
    connection.execute(NULL_BY_NOUGHT)
    register_formulas(connection)
    files = [path.read_text(encoding="utf-8") for path in sql_files(tables)]
    readers = {name: _readers(name, files) for name in sources}
    for at, text in enumerate(files):
        # Each may be large, and larger as Arrow: made so when it is read, and forgotten then.
        for name in [name for name in sources if readers[name][:1] == [at]]:
            # With text as polars keeps it: otherwise every cell is copied once more.
            arrow = sources[name].to_arrow(compat_level=pl.CompatLevel.newest())
            connection.register(name, arrow)
            del arrow
        connection.execute(text)
        for name in [name for name in sources if readers[name][-1:] == [at]]:
            connection.unregister(name)
            del sources[name]


def _readers(source: str, files: list[str]) -> list[int]:
    """Return the places of the files that read a frame, themselves or through a view of it."""
    names, places = {source}, []
    for at, text in enumerate(files):
        if any(name in text for name in names):
            places.append(at)
            names.update(re.findall(r"create temp view (\w+)", text))
    return places


def fingerprint(folder: Path, today: date) -> str:
    """Return what the cellar depends on: source files, the program, and the day.

    The day counts because an entry dated tomorrow is an error today.
    """
    digest = hashlib.blake2b(digest_size=16)
    digest.update(f"{pipeline.__version__} {today.isoformat()}".encode())
    digest.update(_program().encode())
    digest.update(repr(stock(folder)).encode())
    return digest.hexdigest()


@cache
def _program() -> str:
    """Return what tells one state of the program from another.

    Once for a process: what it builds it builds with the program it began with, and the page looks
    at the logbook every few seconds, which must not take hundreds of looks at the program.
    """
    files = [*project_file("sql").iterdir(), *project_file("data", "reference").glob("*.csv")]
    files += Path(pipeline.__file__).parent.rglob("*.py")
    stats = [(path.name, path.stat()) for path in sorted(files)]
    return "\n".join(f"{name} {stat.st_size} {stat.st_mtime_ns}" for name, stat in stats)


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
    if (repaired := repair(folder)) is not None:
        say(repaired)
    home = folder / FOLDER
    try:
        home.mkdir(exist_ok=True)
        with FileLock(home / "build.lock", timeout=LOCK_SECONDS):
            if _clear(home):
                say("what an earlier load left unfinished is cleared away")
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
            f"{error.strerror or error}. Make room or give yourself write access, or copy the "
            "logbook to where you may write."
        ) from error


def _build(folder: Path, home: Path, mark: str, today: date) -> None:
    """Build beside the old file and rename over it: a reader sees the old cellar or the new."""
    sources = sources_of(read_logbook(folder, today=today))
    fresh = home / f"{FILE}.new-{os.getpid()}"
    try:
        with _new_database(fresh) as connection:
            run_sql(connection, sources)
            write_comments(connection, sql_files())
            connection.execute("create table built (fingerprint varchar)")
            connection.execute("insert into built values (?)", [mark])
        fresh.replace(home / FILE)
    except (duckdb.IOException, duckdb.OutOfMemoryException, duckdb.FatalException) as error:
        # The rest of the disk as well as the memory may be used up: DuckDB words both as its own.
        raise OSError(errno.ENOSPC, f"the disk may be full ({_first_line(error)})") from error
    finally:
        _clear(home)


def _new_database(path: Path) -> duckdb.DuckDBPyConnection:
    try:
        return duckdb.connect(str(path), config={"memory_limit": WORKING_MEMORY})
    except RuntimeError as error:
        # The library takes text for a path, and a name may be bytes that are none.
        raise LogbookError(
            f"{path.parent.parent} has a letter in its path that is no text in UTF-8, and the "
            "cellar cannot be built there. Rename that folder."
        ) from error


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0][:200]


def _clear(home: Path) -> bool:
    """Remove what a build that was cut off left, and return whether there was any."""
    stale = list(home.glob(f"{FILE}.new-*"))
    for path in stale:
        # A file, or the folder DuckDB went on in.
        shutil.rmtree(path) if path.is_dir() else path.unlink(missing_ok=True)
    return bool(stale)
