"""Workbooks made to exhaust whoever reads them are refused, quickly and with the limit named."""

import time
import zipfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from unit.logbook.workbooks import write_workbook

from pipeline.errors import LogbookError
from pipeline.logbook import workbook_parts
from pipeline.logbook.importing.workbooks import read_workbook_sheets
from pipeline.logbook.workbook import read_workbook

SHEET = "xl/worksheets/sheet1.xml"
ROWS = [["batch_id", "started_on"], ["A", "2025-01-01"]]
CELL = '<c r="{}" t="inlineStr"><is><t>x</t></is></c>'
SECONDS = 2.0


def _notes(path: Path) -> object:
    return read_workbook_sheets(path.read_bytes(), path.name)


@pytest.fixture(params=[read_workbook, _notes], ids=["logbook", "old notes"])
def read(request: pytest.FixtureRequest) -> Callable[[Path], object]:
    """Return one of the two readers of workbooks."""
    return request.param


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "mine.xlsx"
    write_workbook(path, {"batches": ROWS})
    return path


def changed(path: Path, part: str, change: Callable[[bytes], bytes]) -> None:
    """Pack a workbook anew with another text in one of its parts."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts[part] = change(parts.get(part, b""))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def refusal(read: Callable[[Path], object], path: Path, says: str) -> None:
    started = time.process_time()
    with pytest.raises(LogbookError, match=says):
        read(path)
    assert time.process_time() - started < SECONDS


def _in_rows(text: str) -> Callable[[bytes], bytes]:
    return lambda sheet: sheet.replace(b"</sheetData>", text.encode() + b"</sheetData>")


@pytest.mark.parametrize(
    "place",
    [
        f'<row r="1048576">{CELL.format("XFD1048576")}</row>',
        # Quotation marks of the other kind, and a sign in an attribute that looks like the end.
        "<row><c s='>' t='inlineStr' r='XFD1048576'><is><t>x</t></is></c></row>",
        f'<row r="2">{CELL.format("XFD2")}</row><row r="9">{CELL.format("A1048576")}</row>',
    ],
)
def test_a_cell_far_away_takes_no_room(read, book: Path, place: str) -> None:
    changed(book, SHEET, _in_rows(place))
    refusal(read, book, r"mine\.xlsx has a sheet .*over 1048576 rows and 16384 columns.*5 million")


def test_a_cell_far_below_the_others_is_read_in_time(read, book: Path) -> None:
    changed(book, SHEET, _in_rows(f'<row r="456591">{CELL.format("C456591")}</row>'))
    started = time.process_time()
    read(book)
    assert time.process_time() - started < SECONDS


@pytest.mark.parametrize("place", ["A-1", "ZZZZ1", "A99999999", "", "&#88;FD1048576"])
def test_a_cell_of_no_place_is_refused(read, book: Path, place: str) -> None:
    changed(book, SHEET, _in_rows(f'<row r="2">{CELL.format(place)}</row>'))
    refusal(read, book, r"mine\.xlsx cannot be read as a workbook \(a cell in it is called")


def test_a_workbook_that_unpacks_to_very_much_is_refused(read, book: Path) -> None:
    changed(book, SHEET, lambda sheet: sheet + b" " * 210_000_000)
    assert book.stat().st_size < 1_000_000
    refusal(read, book, "unpacks to more than 200 MB")


def test_what_an_archive_says_of_its_sizes_is_not_believed(
    read, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbook_parts, "MOST_UNPACKED", 100_000)
    changed(book, SHEET, lambda sheet: sheet + b" " * 200_000)
    with zipfile.ZipFile(book) as archive:
        true = archive.getinfo(SHEET).file_size.to_bytes(4, "little")
    book.write_bytes(book.read_bytes().replace(true, (10).to_bytes(4, "little")))
    with pytest.raises(LogbookError, match=r"cannot be read as a workbook|unpacks to more than"):
        read(book)


def test_many_parts_are_refused(read, book: Path) -> None:
    with zipfile.ZipFile(book, "a") as archive:
        for at in range(2_000):
            archive.writestr(f"xl/media/{at}.png", b"")
    refusal(read, book, "packed of 2008 parts|packed of 20.. parts, and at most 2000")


def test_a_count_is_only_a_hint(read, book: Path) -> None:
    many = b'<sst xmlns="x" count="4000000000" uniqueCount="4000000000"><si><t>x</t></si></sst>'
    changed(book, "xl/sharedStrings.xml", lambda _: many)
    changed(
        book,
        "xl/_rels/workbook.xml.rels",
        lambda part: part.replace(
            b"</Relationships>",
            b'<Relationship Id="s" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
            b'relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>',
        ),
    )
    assert read(book)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda sheet: sheet + b"\0", "zero bytes"),
        (lambda sheet: sheet.replace(b">A<", b">" + b"x" * 300_000 + b"<"), "longer than 200 kB"),
        (lambda _: b"", "cannot be read as a workbook"),
        (lambda sheet: sheet[:150], "cannot be read as a workbook"),
    ],
)
def test_a_damaged_sheet_is_one_sentence(read, book: Path, change, says: str) -> None:
    changed(book, SHEET, change)
    refusal(read, book, says)


def test_entities_do_not_multiply(read, book: Path) -> None:
    names = "abcdefghij"
    entities = '<!ENTITY a "xxxxxxxxxx">' + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">' for before, name in pairwise(names)
    )
    bomb = f"<!DOCTYPE worksheet [{entities}]>".encode()
    error = '<row r="3"><c r="A3" t="e"><v>#REF!</v></c></row>'
    changed(book, SHEET, lambda sheet: bomb + _in_rows(error)(sheet).replace(b">A<", b">&j;<"))
    refusal(read, book, r"mine\.xlsx cannot be read as a workbook")


def test_cells_that_are_only_coloured_may_be_far_away(book: Path) -> None:
    changed(book, SHEET, _in_rows('<row r="1048576"><c r="XFD1048576" s="1"/></row>'))
    assert read_workbook(book)["batches"].cells.height == 1
