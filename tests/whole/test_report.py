"""The report: one file that loads nothing, answers the three questions, escapes what is typed."""

import contextlib
import csv
import io
import json
import re
import shutil
from pathlib import Path

import pytest
from makers.maker import simulate
from makers.write import write
from unit.show.test_page import _read

from pipeline.cli import main
from pipeline.show.pdf import find_browser, write_pdf

# With a word, too, that is longer than a column is wide.
HOSTILE = """<script>alert('{}')</script> "q" **x** $y$ & <b>""" + "y" * 90
WORKED = Path(__file__).parent / "worked"
PARTS = (
    "The season",
    "Which fruit loads give full volume?",
    "How does finished gravity compare across yeasts?",
    "Why do some batches taste harsh?",
    "Each recipe&#x27;s record",
    "What to try next",
    "Take care",
    "Problems in the logs",
    "How each number was made",
)


def _renamed(folder, file, column, mark, every=True):
    """Replace one word of a column, everywhere or in the last row, by something nasty."""
    path = folder / file
    with path.open(encoding="utf-8", newline="") as read:
        rows = list(csv.DictReader(read))
    old = rows[-1][column]
    for row in rows if every else rows[-1:]:
        if row[column] == old:
            row[column] = HOSTILE.format(mark)
    with path.open("w", encoding="utf-8", newline="") as written:
        writer = csv.DictWriter(written, rows[0])
        writer.writeheader()
        writer.writerows(rows)


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """A simulated club in which all that has a name is called something nasty."""
    club = simulate(21, 50, planned=1)
    folder = write(club, tmp_path_factory.mktemp("logs") / HOSTILE.format("f").replace("/", "|"))
    _renamed(folder, "batches.csv", "name", "n", every=False)
    _renamed(folder, "batches.csv", "yeast", "y")
    _renamed(folder, "batches.csv", "recipe", "b")
    _renamed(folder, "recipes.csv", "recipe", "r")
    _renamed(folder, "tastings.csv", "taster", "t")
    _renamed(folder, "additions.csv", "amount", "a", every=False)
    return folder


@pytest.fixture(scope="module")
def html(logbook, tmp_path_factory):
    path = tmp_path_factory.mktemp("out") / "report.html"
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        assert main(["report", str(logbook), "-o", str(path), "--json"]) == 0
    answer = json.loads(printed.getvalue())
    assert answer.pop("seconds") > 0
    assert answer == {"file": str(path), "pdf": None, "bytes": path.stat().st_size}
    return path.read_text(encoding="utf-8")


def test_every_part_is_there_in_order(html):
    places = [html.index(f">{part}<") for part in PARTS]
    assert places == sorted(places)
    assert html.count("<svg") >= 6


def test_it_loads_nothing_and_runs_nothing(html):
    reader = _read(html)
    assert reader.open == []
    assert not {"script", "link", "iframe", "img", "object"} & set(reader.seen)
    # Addresses stand only in the names of the SVG standard.
    assert set(re.findall(r"https?://[^\"'<> ]+", html)) <= {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    assert not re.search(r"\son\w+=", html)


def test_what_people_type_is_shown_as_typed(html):
    assert "<script" not in html
    assert "<b>" not in html
    reader = _read(html)
    shown = "".join(reader.text).replace("\N{NO-BREAK SPACE}", " ")
    # Folder, yeast, recipe of batches, planned recipe, unreadable amount: each to the letter.
    assert HOSTILE.format("f").replace("/", "|") in shown
    for mark in "ybra":
        assert HOSTILE.format(mark) in shown, mark


def test_every_batch_stands_in_a_record(html, logbook):
    rows = (logbook / "batches.csv").read_text(encoding="utf-8").splitlines()[1:]
    for row in rows:
        assert f'<td class="name">{row.split(",")[0]}</td>' in html


def test_a_logbook_that_cannot_answer_still_has_a_report(tmp_path):
    (tmp_path / "batches.csv").write_text("batch_id,started_on\n", encoding="utf-8")
    additions = "batch_id,added_on,kind,ingredient,amount\n"
    (tmp_path / "additions.csv").write_text(additions, encoding="utf-8")
    path = tmp_path / "r.html"
    assert main(["report", str(tmp_path), "-o", str(path)]) == 0
    text = path.read_text(encoding="utf-8")
    assert text.count("too little to answer this yet") == 3
    assert "The shelf is empty." in text


def test_without_a_browser_the_page_is_written_and_the_pdf_refused(tmp_path, capsys, monkeypatch):
    folder = tmp_path / "tiny"
    shutil.copytree(WORKED, folder)
    monkeypatch.setattr("pipeline.show.pdf.shutil.which", lambda _: None)
    page, pdf = tmp_path / "r.html", tmp_path / "r.pdf"
    assert main(["report", str(folder), "-o", str(page), "--pdf", str(pdf)]) == 2
    assert "no browser was found" in capsys.readouterr().err
    assert page.exists()
    assert not pdf.exists()
    assert main(["report", str(folder), "-o", str(tmp_path / "nowhere" / "r.html")]) == 2
    assert "Name another file" in capsys.readouterr().err


@pytest.mark.slow
def test_a_browser_prints_it(tmp_path):
    if find_browser() is None:
        pytest.skip("no browser on this machine")
    folder = tmp_path / "tiny"
    shutil.copytree(WORKED, folder)
    settings = folder / "logbook.toml"
    text = settings.read_text(encoding="utf-8").replace('"metric"', '"us"')
    settings.write_text(text, encoding="utf-8")
    page, pdf = tmp_path / "r.html", tmp_path / "r.pdf"
    assert main(["report", str(folder), "-o", str(page), "--pdf", str(pdf)]) == 0
    assert _paper_width(pdf) == 612  # [points] Letter
    write_pdf(page, pdf, "A4")
    assert _paper_width(pdf) == pytest.approx(595, abs=1)
    # Nothing of the printing is left behind.
    assert {path.name for path in tmp_path.iterdir()} == {"tiny", "r.html", "r.pdf"}


@pytest.mark.slow
def test_nothing_runs_over_the_edge_of_paper_or_phone(html, tmp_path, browser):
    path = tmp_path / "r.html"
    path.write_text(html, encoding="utf-8")
    # [px] the text's width on A4 and Letter, and a phone's.
    for media, width in (("print", 680), ("print", 703), ("screen", 390)):
        page = browser.new_page(viewport={"width": width, "height": 900})
        page.emulate_media(media=media)
        page.goto(path.as_uri())
        over = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
        assert page.evaluate(over) <= 0, (media, width)
        page.close()


def _paper_width(pdf):
    printed = pdf.read_bytes()
    assert printed.startswith(b"%PDF-")
    assert len(printed) > 10_000
    return float(re.search(rb"/MediaBox \[0 0 ([\d.]+)", printed)[1])
