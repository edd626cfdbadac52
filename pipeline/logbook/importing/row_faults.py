"""Why a record below the heading is no row of data."""

from collections.abc import Sequence

from pipeline.logbook.importing.finding_headings import CONTROL
from pipeline.logbook.importing.vocabulary import plain
from pipeline.logbook.records import Record

_TOTAL_NAMES = """
total totals sum sums subtotal summe gesamt insgesamt somme totaux suma totale totaal razem summa
average averages mean means mittelwert durchschnitt moyenne promedio media gemiddelde srednia
"""
_TOTAL_WORDS = frozenset(_TOTAL_NAMES.split())
_SENTENCE = 3  # [words] a lone cell with as many is a remark and no batch
FAULTS = {
    "cells": "the row has another number of cells than the heading, so it is not certain which "
    "cell is which",
    "quote": "a quotation mark opens a cell and nothing closes it properly",
    "letters": "the row holds letters that are not in the encoding of the rest of the file",
    "total": "a row of totals or means is worked out from the others and is no entry",
    "heading": "the heading stands here once more",
    "remark": "one sentence stands alone on this line: a remark about the sheet",
}


def row_fault(record: Record, heading: Sequence[str]) -> str | None:
    """Return which of `FAULTS` a record has, if it has one."""
    if record.fault is not None:
        return record.fault
    if CONTROL.search(record.raw):
        return "letters"
    filled = [cell.strip() for cell in record.cells if cell.strip()]
    first = plain(filled[0]).split()
    if first and first[0] in _TOTAL_WORDS and len(first) <= 2:
        return "total"
    if len(filled) == 1 and len(heading) > 2 and len(first) >= _SENTENCE:
        return "remark"
    same = [plain(cell) for cell in record.cells] == [plain(cell) for cell in heading]
    return "heading" if same else None
