"""The error cells of a workbook, such as `#REF!`.

The reader returns them as empty; an error that the maker never saw would then pass for a cell left
blank. So the sheets are looked through once more for cells that the workbook marks as errors.
"""

import re
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path, PurePosixPath

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_OFFICE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_PLACE = re.compile(r"([A-Z]+)([0-9]+)")
_MARK = b't="e"'


def error_cells(path: Path, sheet: str) -> dict[tuple[int, int], str]:
    """Return the error cells of one sheet by row number and column index (from 0).

    Parameters
    ----------
    path : pathlib.Path
        A workbook that the reader has opened.
    sheet : str
        The sheet's name.
    """
    with zipfile.ZipFile(path) as archive:
        part = _sheet_part(archive, sheet)
        if part is None:
            return {}
        content = archive.read(part)
    if _MARK not in content:
        return {}
    cells = ET.fromstring(content).iter(f"{_MAIN}c")
    errors = {}
    for cell in cells:
        place = _PLACE.fullmatch(cell.get("r", ""))
        if cell.get("t") == "e" and place is not None:
            at = int(place[2]), _column(place[1])
            errors[at] = cell.findtext(f"{_MAIN}v") or "#ERROR!"
    return errors


def _sheet_part(archive: zipfile.ZipFile, sheet: str) -> str | None:
    """Return the archive's name of a sheet, by way of the workbook's relations."""
    workbook = ET.fromstring(archive.read("xl/workbook.xml"))
    relations = ET.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {relation.get("Id"): relation.get("Target", "") for relation in relations}
    for entry in workbook.iter(f"{_MAIN}sheet"):
        if entry.get("name") == sheet:
            target = targets.get(entry.get(f"{_OFFICE}id"), "")
            part = str(PurePosixPath("xl") / target) if target[:1] != "/" else target[1:]
            return part if part in archive.namelist() else None
    return None


def _column(letters: str) -> int:
    column = 0
    for letter in letters:
        column = 26 * column + ord(letter) - 64
    return column - 1
