"""The logbook's contract for other programs: a Frictionless data package.

References
----------
.. [1] Frictionless Data, Data Package and Table Schema specifications, version 1
   (specs.frictionlessdata.io): an open standard for describing tables in text files.
"""

from typing import Any

from pipeline.logbook.contract import FILES, REQUIRED_FILES, CellKind
from pipeline.logbook.schemas import schema

# Quantities are texts: number and unit. Only bare numbers and days have a type of their own.
_TYPES: dict[CellKind, dict[str, str]] = {
    "number": {"type": "number"},
    "score": {"type": "number"},
    "day": {"type": "date", "format": "any"},
    "moment": {"type": "datetime", "format": "any"},
}


def data_package(names: tuple[str, ...] = tuple(FILES)) -> dict[str, Any]:
    """Return the description of a logbook's files, made from the pandera schemas.

    Parameters
    ----------
    names : tuple of str
        The files to describe, by their contract names.

    Returns
    -------
    dict
        To be written as datapackage.json.
    """
    return {
        "profile": "tabular-data-package",
        "name": "logbook",
        "title": "A logbook of country wine",
        "resources": [_resource(name) for name in names],
    }


def _resource(name: str) -> dict[str, Any]:
    return {
        "profile": "tabular-data-resource",
        "name": name,
        "path": f"{name}.csv",
        "format": "csv",
        "encoding": "utf-8",
        "is_required": name in REQUIRED_FILES,
        "schema": table_schema(name),
    }


def table_schema(name: str) -> dict[str, Any]:
    """Return the Table Schema of one file, made from its pandera schema.

    Parameters
    ----------
    name : str
        The contract's name, such as "readings".
    """
    by_source: dict[str, list[Any]] = {}
    for column in schema(name).columns.values():
        source = column.metadata["column"]
        if source is not None:
            by_source.setdefault(source, []).append(column)
    described: dict[str, Any] = {
        "fields": [_field(source, columns) for source, columns in by_source.items()],
        "missingValues": [""],
    }
    if name == "batches":
        described["primaryKey"] = "batch_id"
    elif name != "recipes":
        reference = {"resource": "batches", "fields": "batch_id"}
        described["foreignKeys"] = [{"fields": "batch_id", "reference": reference}]
    return described


def _field(source: str, columns: list[Any]) -> dict[str, Any]:
    """Describe a column of the file by the checked columns that are read from it."""
    metadata = columns[0].metadata
    field: dict[str, Any] = {
        "name": source,
        **_TYPES.get(metadata["kind"], {"type": "string"}),
        "description": metadata["meaning"],
    }
    constraints = _constraints(columns[0], is_number=field["type"] == "number")
    if any(not column.nullable for column in columns):
        constraints["required"] = True
    return field | ({"constraints": constraints} if constraints else {})


def _constraints(column: Any, *, is_number: bool) -> dict[str, Any]:
    constraints: dict[str, Any] = {}
    for check in column.checks:
        statistics = check.statistics
        if "allowed_values" in statistics:
            constraints["enum"] = list(statistics["allowed_values"])
        elif is_number and "min_value" in statistics:
            constraints["minimum"] = statistics["min_value"]
        elif is_number and "max_value" in statistics:
            constraints["maximum"] = statistics["max_value"]
    return constraints
