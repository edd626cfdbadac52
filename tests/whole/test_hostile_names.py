"""Names made to run somewhere, through every way out: pages, plots, tables, SQL, terminal, page."""

import csv
import io
import json
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import polars as pl
import pytest
from whole.hostile import HOSTILE, PLAN, named_to_run

from pipeline.cellar import load_cellar
from pipeline.cli import main
from pipeline.commands_page import server_options
from pipeline.show.export import FORMULA_SIGNS

ALLOWED_TAGS = {
    *("html", "head", "meta", "title", "style", "body", "h1", "h2", "h3", "p", "ul", "li", "div"),
    *(
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "figure",
        "figcaption",
        "span",
        "dl",
        "dt",
        "dd",
    ),
    *("svg", "g", "path", "text", "rect", "line", "circle", "defs", "clippath", "lineargradient"),
    *("stop", "use", "tspan", "b", "strong", "em", "br", "section", "header", "footer", "main"),
    *("caption", "small", "colgroup", "col", "tfoot", "ol", "symbol"),
}


class Reader(HTMLParser):
    """What a page is made of: its elements, and the attributes that could run or load."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.acting: list[tuple[str, str, str | None]] = []
        self.said = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            loads = name in ("src", "href", "xlink:href", "action", "formaction", "srcdoc")
            if name.startswith("on") or (loads and not (value or "").startswith("#")):
                self.acting.append((tag, name, value))

    def handle_data(self, data: str) -> None:
        self.said += data


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return named_to_run(tmp_path_factory.mktemp("hostile"))


def looked_at(path: Path) -> Reader:
    reader = Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    assert reader.tags <= ALLOWED_TAGS, reader.tags - ALLOWED_TAGS
    assert reader.acting == []
    assert "\u202e" not in reader.said
    return reader


def test_batches_of_any_name_are_loaded_and_found(logbook: Path, capsys) -> None:
    cellar = load_cellar(logbook)
    assert sorted(cellar.table("batches")["batch_id"]) == sorted(name.strip() for name in HOSTILE)
    for name in HOSTILE:
        assert cellar.batch(name)["fruit_kg"] is not None
    for name in HOSTILE[2:4]:
        assert main(["bench", str(logbook), name, "--sweeten", "20", "--json"]) in (0, 1)
        json.loads(capsys.readouterr().out)
    assert main(["compare", str(logbook), HOSTILE[2], HOSTILE[3], "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["columns"] == [HOSTILE[2], HOSTILE[3]]


def test_the_report_shows_them_and_runs_nothing(logbook: Path, tmp_path: Path) -> None:
    page = tmp_path / "r.html"
    assert main(["report", str(logbook), "-o", str(page)]) == 0
    reader = looked_at(page)
    assert "<b>lantern</b>" in reader.said.lower()
    assert PLAN in reader.said
    assert "onerror=alert(2)" in reader.said


def test_a_sheet_its_page_and_its_calendar_show_them(logbook: Path, tmp_path: Path) -> None:
    page, plan = tmp_path / "s.html", tmp_path / "s.ics"
    call = ["sheet", str(logbook), PLAN, "--page", str(page), "--calendar", str(plan)]
    assert main(call) == 0
    assert PLAN in looked_at(page).said
    lines = plan.read_text(encoding="utf-8").splitlines()
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT")
    assert all(line[:1] == " " or ":" in line for line in lines if line)


def test_the_list_of_problems_shows_them(logbook: Path, tmp_path: Path) -> None:
    page, table = tmp_path / "p.html", tmp_path / "p.csv"
    assert main(["check", str(logbook), "--list", str(page)]) == 0
    assert "plum <u>x</u>" in looked_at(page).said
    assert main(["check", str(logbook), "--list", str(table)]) == 0
    for row in csv.reader(table.read_text(encoding="utf-8-sig").splitlines()):
        assert not [cell for cell in row if cell.startswith(FORMULA_SIGNS)]


@pytest.mark.parametrize("table", ["batches", "glasses"])
def test_exports_hold_texts_that_run_nowhere(logbook: Path, tmp_path: Path, table: str) -> None:
    for ending in ("csv", "xlsx", "parquet"):
        assert main(["export", str(logbook), table, "-o", str(tmp_path / f"t.{ending}")]) == 0
    text = (tmp_path / "t.csv").read_text(encoding="utf-8")
    frame = pl.read_csv(io.StringIO(text), infer_schema_length=0)
    for column in ("batch_id", "must_id"):
        if column in frame.columns:
            assert not [cell for cell in frame[column] if cell.startswith(FORMULA_SIGNS)]
    with zipfile.ZipFile(tmp_path / "t.xlsx") as book:
        sheet = book.read("xl/worksheets/sheet1.xml")
        assert b"<f>" not in sheet
        assert b"<hyperlink" not in sheet
    assert pl.read_parquet(tmp_path / "t.parquet").height == frame.height


@pytest.mark.parametrize("command", ["check", "yeasts", "predict"])
def test_a_terminal_is_left_alone(logbook: Path, command: str, capsys) -> None:
    words = [command, str(logbook), *([PLAN] if command == "predict" else [])]
    assert main(words) in (0, 1)
    captured = capsys.readouterr()
    assert not {"\x1b", "\x07"} & set(captured.out + captured.err)


def test_a_refusal_with_a_hostile_name_is_one_harmless_line(logbook: Path, capsys) -> None:
    assert main(["harsh", str(logbook), "no\x1b[2Jsuch\nbatch"]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert r"'no\x1b[2Jsuch\nbatch'" in said


def test_the_page_server_listens_here_only_and_keeps_others_out() -> None:
    from streamlit import config

    options = server_options(8501, opens_browser=False)
    kept = {
        "server.address": "127.0.0.1",
        "client.allowedOrigins": "http://127.0.0.1:8501",
        "server.enableCORS": "true",
        "server.enableXsrfProtection": "true",
        "server.enableStaticServing": "false",
        "browser.gatherUsageStats": "false",
        "client.showErrorDetails": "none",
        "server.headless": "true",
    }
    assert {name: options[name] for name in kept} == kept
    assert 0 < int(options["server.maxUploadSize"]) <= 50
    known = config.get_config_options()
    assert {name for name in options if not name.startswith("theme.")} <= set(known)


def test_nothing_that_runs_is_ever_loaded_from_disk() -> None:
    root = Path(__file__).parents[2]
    for folder in ("pipeline", "app"):
        for path in (root / folder).rglob("*.py"):
            source = path.read_text(encoding="utf-8")
            for way in ("pickle", "joblib", "marshal", "shelve", "eval(", "exec(", "yaml"):
                assert way not in source.replace(".eval(", "").replace("_eval(", ""), (path, way)
