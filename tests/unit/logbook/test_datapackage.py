"""The data package says what the pandera schemas and the contract say."""

import json

import polars as pl
import pytest

from pipeline.logbook.contract import FILES
from pipeline.logbook.datapackage import data_package, table_schema
from pipeline.logbook.schemas import failures
from pipeline.logbook.typed_contract import TYPED, empty_frame


@pytest.mark.parametrize("name", FILES)
def test_every_column_of_the_contract_is_described(name: str) -> None:
    fields = {field["name"]: field for field in table_schema(name)["fields"]}
    assert list(fields) == [column.name for column in FILES[name]]
    for column in FILES[name]:
        field = fields[column.name]
        constraints = field.get("constraints", {})
        assert field["description"] == column.meaning
        assert constraints.get("required", False) == column.is_required
        if column.kind == "choice":
            assert constraints["enum"] == list(column.choices)
        if column.kind == "number":
            assert (constraints.get("minimum"), constraints.get("maximum")) == (
                column.low,
                column.high,
            )


@pytest.mark.parametrize("name", FILES)
def test_bounds_of_the_package_are_those_pandera_enforces(name: str) -> None:
    fields = {field["name"]: field for field in table_schema(name)["fields"]}
    numbers = [
        column for column in TYPED[name] if column.source in fields and column.high is not None
    ]
    for column in numbers:
        maximum = fields[column.source].get("constraints", {}).get("maximum")  # type: ignore[index]
        if maximum is None:
            continue
        row = {other.name: [None] for other in TYPED[name]} | {column.name: [maximum]}
        frame = pl.DataFrame(row, schema=empty_frame(name).schema)
        assert column.name not in failures(name, frame)["typed"].to_list()
        above = frame.with_columns(pl.lit(maximum + 0.001).alias(column.name))
        assert column.name in failures(name, above)["typed"].to_list()


def test_keys_and_files() -> None:
    package = data_package()
    assert [resource["path"] for resource in package["resources"]] == [
        f"{name}.csv" for name in FILES
    ]
    schemas = {resource["name"]: resource["schema"] for resource in package["resources"]}
    assert schemas["batches"]["primaryKey"] == "batch_id"
    for name in ("additions", "readings", "transfers", "tastings"):
        reference = schemas[name]["foreignKeys"][0]["reference"]
        assert reference == {"resource": "batches", "fields": "batch_id"}
    assert json.loads(json.dumps(package)) == package
