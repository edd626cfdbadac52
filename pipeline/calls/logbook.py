"""Commands that write, read and open a logbook."""

from pipeline.calls.shape import LOGBOOK, Command, argument, path

KINDS = ("batch", "addition", "reading", "transfer", "tasting", "recipe")

COMMANDS: tuple[Command, ...] = (
    Command(
        "new",
        "write an empty logbook with headed files, settings and one worked example row each",
        "new my-logbook",
        (argument("folder", metavar="DIR", type=path, help="a folder that does not exist yet"),),
        "pipeline.commands:new",
        "pipeline.show.text_logbook:new",
    ),
    Command(
        "demo",
        "write the invented demo logbook, run the main job on it and print the findings",
        "demo",
        (
            argument(
                "folder",
                metavar="DIR",
                type=path,
                nargs="?",
                default="hedgerow-demo",
                help="where to write it (default: hedgerow-demo)",
            ),
        ),
        "pipeline.commands:demo",
        "pipeline.show.text_findings:findings",
    ),
    Command(
        "check",
        "read and check the files only: every problem with file, line, column and remedy",
        "check my-logbook",
        (
            LOGBOOK,
            argument("--list", metavar="FILE", type=path, help="write them to .csv or .html"),
        ),
        "pipeline.commands:check",
        "pipeline.show.text_logbook:check",
    ),
    Command(
        "load",
        "check the files and build the DuckDB file that everything else reads",
        "load my-logbook",
        (LOGBOOK,),
        "pipeline.commands:load",
        "pipeline.show.text_logbook:load",
    ),
    Command(
        "import",
        "bring old notes in: propose what each column is, ask, and write what is certain",
        "import old-notes.csv --into my-logbook",
        (
            argument(
                "files", metavar="FILE", type=path, nargs="+", help="a CSV file or a workbook"
            ),
            argument(
                "--into", metavar="LOGBOOK", type=path, required=True, help="a folder, new or not"
            ),
        ),
        "pipeline.commands:bring",
        "pipeline.show.text_import:bring",
    ),
    Command(
        "add",
        "add one checked entry to a logbook; a row that does not pass is not written",
        "add reading my-logbook batch_id=2025-09 taken_on=today gravity=0.994",
        (
            argument("kind", metavar="KIND", choices=KINDS, help=", ".join(KINDS)),
            LOGBOOK,
            argument(
                "cells",
                metavar="COLUMN=CELL",
                nargs="+",
                help="cells as you would type them; 'today' is a date",
            ),
        ),
        "pipeline.commands:add",
        "pipeline.show.text_logbook:add",
    ),
    Command(
        "app",
        "open the web page, on this machine only",
        "app my-logbook",
        (
            LOGBOOK,
            argument("--port", type=int, default=8501, help="port on 127.0.0.1 (default: 8501)"),
            argument("--no-browser", action="store_true", help="do not open a browser"),
        ),
        "pipeline.commands_page:app",
    ),
    Command(
        "export",
        "write a table for other programs: CSV, Parquet or a workbook; without TABLE, list them",
        "export my-logbook batches -o batches.xlsx",
        (
            LOGBOOK,
            argument("table", metavar="TABLE", nargs="?", help="a table, such as batches"),
            argument(
                "-o",
                "--output",
                metavar="FILE",
                type=path,
                help="where to: ends in .csv, .parquet or .xlsx",
            ),
            argument(
                "--mark",
                action="store_true",
                help="begin a CSV with the mark by which spreadsheet programs know UTF-8",
            ),
        ),
        "pipeline.commands_files:export",
        "pipeline.show.text_files:export",
    ),
    Command(
        "report",
        "write one page with plots and findings, to print or send",
        "report my-logbook -o season.html",
        (
            LOGBOOK,
            argument(
                "-o",
                "--output",
                metavar="FILE.html",
                type=path,
                required=True,
                help="where to write the page",
            ),
            argument(
                "--pdf", metavar="FILE.pdf", type=path, help="and as a PDF, if a browser is there"
            ),
        ),
        "pipeline.commands_files:report",
        "pipeline.show.text_files:report",
    ),
)
