"""The commands that write files for other people and other programs."""

import argparse

from pipeline.commands import Say, units_of
from pipeline.show.answer import Answer


def export(request: argparse.Namespace, say: Say) -> Answer:
    """Write a table of the cellar to a file, or list the tables there are."""
    from pipeline.cellar import load_cellar
    from pipeline.errors import LogbookError, UnknownNameError
    from pipeline.show.export import write_table

    cellar = load_cellar(request.logbook, say=say)
    tables = cellar.tables()
    if request.table is None:
        listed = [{"table": name, "row": row} for name, row in tables.items()]
        return Answer({"tables": listed}, units_of(cellar))
    if request.table not in tables:
        raise UnknownNameError(
            f"There is no table '{request.table}'. There are: {', '.join(tables)}."
        )
    if request.output is None:
        raise LogbookError("Say where to: -o FILE.csv, FILE.parquet or FILE.xlsx.")
    frame = cellar.table(request.table)
    write_table(frame, request.output, mark=request.mark)
    data = {"table": request.table, "file": str(request.output), "rows": frame.height}
    return Answer(data, units_of(cellar))
