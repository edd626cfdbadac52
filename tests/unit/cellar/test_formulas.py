"""SQL calls enology's functions and nothing else computes."""

import duckdb
import numpy as np
import pytest

from pipeline.cellar.formulas import FORMULAS, register_formulas
from pipeline.enology import ledger
from pipeline.files import project_file


@pytest.fixture
def connection() -> duckdb.DuckDBPyConnection:
    connection = duckdb.connect()
    register_formulas(connection)
    return connection


@pytest.mark.parametrize("name", sorted(FORMULAS))
def test_sql_gives_what_the_function_gives_and_null_for_null(
    connection: duckdb.DuckDBPyConnection, name: str
) -> None:
    formula, arguments = FORMULAS[name]
    plausible = {
        "tannin_exposure": [1.5, 2.0, 1.0, 1.0, 6.0],
        "alcohol_from_gravities": [1.09, 0.995],
        "molecular_so2": [28.0, 3.4],
        "dry_extract": [0.995, 12.0],
        "residual_sugar": [1.005, 12.0],
        "gravity_from_fermented_refractometer": [9.2, 1.082],
        "gravity_from_sugar": [240.0],
        "gravity_from_refractometer": [22.0],
    }.get(name, [1.09, 1.01][:arguments])
    call = f"{name}({', '.join(map(str, plausible))})"
    assert connection.sql(f"select {call}").fetchall()[0] == (pytest.approx(formula(*plausible)),)
    unknown = f"{name}({', '.join(['null'] * arguments)})"
    assert connection.sql(f"select {unknown}").fetchall()[0] == (None,)


def test_ledger_in_sql_is_the_ledger_of_enology(connection: duckdb.DuckDBPyConnection) -> None:
    entries = [
        ledger.LedgerEntry(volume_l=3.6, sugar_kg=0.227),
        ledger.LedgerEntry(volume_l=3.2, added_l=0.4),
    ]
    expected = ledger.equivalent_original_gravity(1.072, entries)
    found = connection.sql(
        "select equivalent_gravity(1.072, [3.6, 3.2], [0.227, 0], [0, 0.4])"
    ).fetchall()[0]
    assert found == (pytest.approx(expected),)


def test_ledger_with_an_unknown_entry_is_unknown(connection: duckdb.DuckDBPyConnection) -> None:
    rows = connection.sql(
        "select equivalent_gravity(og, v, s, a) from (values "
        "(1.072, [3.6], [null], [0]), (1.072, null, null, null), (null, [3.6], [0.1], [0])"
        ") as t(og, v, s, a)"
    ).fetchall()
    assert rows == [(None,), (pytest.approx(1.072),), (None,)]


def test_share_left_after_topping_up_twice(connection: duckdb.DuckDBPyConnection) -> None:
    found = connection.sql("select undiluted_share([3.0, 3.6], [0.75, 0.4])").fetchall()[0]
    assert found == (pytest.approx(0.8 * 0.9),)


def test_every_formula_is_called_by_sql() -> None:
    sql = "\n".join(path.read_text(encoding="utf-8") for path in project_file("sql").glob("*.sql"))
    assert [name for name in FORMULAS if f"{name}(" not in sql] == []


def test_a_million_rows_keep_their_shape(connection: duckdb.DuckDBPyConnection) -> None:
    (total,) = connection.sql(
        "select sum(gravity_from_sugar(240.0 + 0 * i)) from range(1000000) as t(i)"
    ).fetchall()[0]
    (one,) = connection.sql("select gravity_from_sugar(240.0)").fetchall()[0]
    assert np.isclose(total, 1_000_000 * one)
