"""A minimal .xlsx writer, so that reading one needs no second spreadsheet library."""

import zipfile
from datetime import date, datetime
from pathlib import Path
from xml.sax.saxutils import escape

Cell = str | float | int | bool | date | datetime | None
_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    "{sheets}</Types>"
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
# Style 1 is a date, style 2 a date with a time.
_STYLES = (
    f'<styleSheet xmlns="{_MAIN}"><fonts count="1"><font/></fonts><fills count="1"><fill/></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/>'
    '<xf numFmtId="22" applyNumberFormat="1"/></cellXfs></styleSheet>'
)


def write_workbook(path: Path, sheets: dict[str, list[list[Cell]]]) -> None:
    """Write sheets of typed cells; a text that begins with `#` and ends with `!` is an error."""
    names = list(sheets)
    with zipfile.ZipFile(path, "w") as archive:
        overrides = "".join(
            f'<Override PartName="/xl/worksheets/sheet{at}.xml" ContentType="{_SHEET_TYPE}"/>'
            for at in range(1, len(names) + 1)
        )
        archive.writestr("[Content_Types].xml", _TYPES.format(sheets=overrides))
        archive.writestr("_rels/.rels", _relations([("officeDocument", "xl/workbook.xml")]))
        archive.writestr("xl/workbook.xml", _workbook(names))
        parts = [("worksheet", f"worksheets/sheet{at}.xml") for at in range(1, len(names) + 1)]
        archive.writestr(
            "xl/_rels/workbook.xml.rels", _relations([*parts, ("styles", "styles.xml")])
        )
        archive.writestr("xl/styles.xml", _STYLES)
        for at, rows in enumerate(sheets.values(), start=1):
            archive.writestr(f"xl/worksheets/sheet{at}.xml", _sheet(rows))


def _relations(parts: list[tuple[str, str]]) -> str:
    body = "".join(
        f'<Relationship Id="rId{at}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
        for at, (kind, target) in enumerate(parts, start=1)
    )
    return f'<Relationships xmlns="{_RELATIONS}">{body}</Relationships>'


def _workbook(names: list[str]) -> str:
    body = "".join(
        f'<sheet name="{escape(name)}" sheetId="{at}" r:id="rId{at}"/>'
        for at, name in enumerate(names, start=1)
    )
    return f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{body}</sheets></workbook>'


def _sheet(rows: list[list[Cell]]) -> str:
    body = "".join(
        f'<row r="{line}">'
        + "".join(_cell(value, f"{_letter(at)}{line}") for at, value in enumerate(row))
        + "</row>"
        for line, row in enumerate(rows, start=1)
    )
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData></worksheet>'


def _letter(at: int) -> str:
    return chr(65 + at) if at < 26 else f"{chr(64 + at // 26)}{chr(65 + at % 26)}"


def _cell(value: Cell, place: str) -> str:
    match value:
        case None:
            return ""
        case bool():
            return f'<c r="{place}" t="b"><v>{int(value)}</v></c>'
        case int() | float():
            return f'<c r="{place}"><v>{value!r}</v></c>'
        case datetime():
            return f'<c r="{place}" s="2"><v>{_serial(value)!r}</v></c>'
        case date():
            return f'<c r="{place}" s="1"><v>{_serial(datetime(*value.timetuple()[:3]))!r}</v></c>'
        case str() if value.startswith("#") and value.endswith("!"):
            return f'<c r="{place}" t="e"><v>{value}</v></c>'
        case _:
            text = f'<t xml:space="preserve">{escape(value)}</t>'
            return f'<c r="{place}" t="inlineStr"><is>{text}</is></c>'


def _serial(moment: datetime) -> float:
    return (moment - datetime(1899, 12, 30)).total_seconds() / 86400
