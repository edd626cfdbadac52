"""Faults people make in logbooks, planted in the demo: each must be explained by ``check``."""

from __future__ import annotations

from dataclasses import dataclass

Row = tuple[str, ...]
Pages = dict[str, tuple[tuple[str, ...], list[Row]]]


@dataclass(frozen=True)
class Slip:
    """One cell typed wrong: in the first row of the batch where ``where`` holds, in ``column``."""

    page: str
    batch_id: str
    where: tuple[str, str]
    column: str
    typed: str
    remark: str


SLIPS = (
    Slip("additions", "2023-07", ("kind", "fruit"), "amount", "3-4 lb", "a range"),
    Slip("additions", "2023-15", ("kind", "sugar"), "amount", "a big bag", "a word"),
    Slip(
        "additions",
        "2024-09",
        ("kind", "nutrient"),
        "amount",
        "02-Jan",
        "a fraction a spreadsheet mangled",
    ),
    Slip("additions", "2025-08", ("kind", "sugar"), "amount", "#REF!", "a spreadsheet's error"),
    Slip("additions", "2024-14", ("kind", "nutrient"), "skins", "on", "skins on a powder"),
    Slip("additions", "2025-12", ("kind", "water"), "amount", "4", "an amount with no unit"),
    Slip("readings", "2023-11", ("", ""), "gravity", "1090", "a gravity without its point"),
    Slip("readings", "2024-05", ("", ""), "temperature", "20", "a temperature with no unit"),
    Slip("readings", "2025-20", ("", ""), "taken_on", "2027-05-11", "a day still to come"),
    Slip("readings", "2025-03", ("", ""), "taken_on", "03/04/2025", "a date that reads two ways"),
    Slip("transfers", "2024-22", ("step", "rack"), "volume_after", "?", "a question mark"),
    Slip("tastings", "2023-21", ("", ""), "score", "7/10", "a score on another scale"),
    Slip("tastings", "2024-18", ("", ""), "batch_id", "2024-99", "a batch that does not exist"),
)


def slip(pages: Pages) -> None:
    """Plant the faults, and one batch entered twice."""
    for fault in SLIPS:
        _retype(pages, fault)
    header, rows = pages["batches"]
    twice = next(k for k, row in enumerate(rows) if row[0] == "2025-14")
    copy = list(rows[twice])
    copy[header.index("name")] = f"{copy[header.index('name')]} again"
    rows.insert(twice + 1, tuple(copy))


def _retype(pages: Pages, fault: Slip) -> None:
    header, rows = pages[fault.page]
    column = header.index(fault.column)
    key, value = fault.where
    for k, row in enumerate(rows):
        is_meant = not key or row[header.index(key)] == value
        if row[0] == fault.batch_id and is_meant:
            rows[k] = (*row[:column], fault.typed, *row[column + 1 :])
            return
    raise LookupError(
        f"No row of {fault.page} for batch {fault.batch_id} to plant {fault.remark} in."
    )
