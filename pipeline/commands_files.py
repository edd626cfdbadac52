"""The commands that write files for other people and other programs."""

import argparse
from datetime import date

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


def report(request: argparse.Namespace, say: Say) -> Answer:
    """Write the report on a logbook as one page, and as a PDF if that is asked for."""
    from pipeline.advice import report as advice
    from pipeline.advice.due import due
    from pipeline.advice.years import home_limits_l, year_totals
    from pipeline.commands import fitted
    from pipeline.show.page import write_page
    from pipeline.show.pdf import write_pdf
    from pipeline.show.report import report_html

    cellar, models = fitted(request.logbook, say)
    found = advice.answer(cellar, models) | {"home_limits_l": home_limits_l()}
    tables = {name: cellar.table(name) for name in ("batches", "readings", "files", "problems")}
    tables |= {"due": due(cellar, date.today()), "years": year_totals(tables["batches"])}
    say("drawing the plots")
    units = units_of(cellar)
    html = report_html(request.logbook.resolve().name, tables, found, units)
    write_page(html, request.output)
    if request.pdf is not None:
        write_pdf(request.output, request.pdf, "Letter" if units.show == "us" else "A4")
    data = {
        "file": str(request.output),
        "pdf": None if request.pdf is None else str(request.pdf),
        "bytes": request.output.stat().st_size,
        "seconds": 0.0,
    }
    return Answer(data, units)
