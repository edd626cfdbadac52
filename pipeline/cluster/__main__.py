"""`python -m pipeline.cluster LOGBOOK OUT`: a logbook's tables, made by Spark on this machine.

For trying what a cluster would make; on a cluster, call `run_sql` with its session and frames.
"""

import argparse
import shutil
import sys
from datetime import date
from importlib.util import find_spec
from os import environ
from pathlib import Path

from pipeline.errors import HedgerowError

DONE, UNUSABLE = 0, 2


def main(words: list[str] | None = None) -> int:
    """Run the call, and return its exit status: 0 done; 2 unusable."""
    parser = argparse.ArgumentParser(prog="python -m pipeline.cluster", description=__doc__)
    parser.add_argument("logbook", metavar="LOGBOOK", type=Path, help="folder of the logbook")
    parser.add_argument("out", metavar="OUT", type=Path, help="new folder for the tables")
    asked = parser.parse_args(words)
    try:
        _refuse_without_spark()
        _refuse_if_there(asked.out)
        _run(asked.logbook, asked.out)
    except HedgerowError as refusal:
        sys.stderr.write(f"{refusal}\n")
        return UNUSABLE
    return DONE


def _refuse_without_spark() -> None:
    missing = [name for name in ("pyspark", "sqlglot") if find_spec(name) is None]
    if missing:
        raise HedgerowError(
            f"Spark needs {' and '.join(missing)}, not installed here. "
            "Run: pip install 'hedgerow[cluster]'."
        )
    if shutil.which("java") is None and "JAVA_HOME" not in environ:
        raise HedgerowError("Spark needs Java, and there is none here. Install Java 17 or later.")


def _refuse_if_there(out: Path) -> None:
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise HedgerowError(f"{out} is there already and not empty. Name a new folder.")


def _run(logbook: Path, out: Path) -> None:
    # Both take long to import, and a refusal should not.
    from pipeline.cellar.sources import sources_of
    from pipeline.cluster.frames import frames_of
    from pipeline.cluster.local import local_session
    from pipeline.cluster.run import run_sql
    from pipeline.logbook import read_logbook

    sources = sources_of(read_logbook(logbook, today=date.today()))
    with local_session() as session:
        tables = run_sql(session, frames_of(session, sources), str(out.resolve()))
        for table in tables:
            rows = session.table(table).count()
            sys.stdout.write(f"{table}: {rows} row{'' if rows == 1 else 's'}\n")


if __name__ == "__main__":
    sys.exit(main())
