"""The files of `sql/`, written for DuckDB, said in Spark's SQL with the same meaning.

sqlglot knows both dialects' grammar and most of their functions. What it would let through though
the two engines mean different things by it is put right here, one rule a difference.
"""

from collections.abc import Callable, Iterable, Iterator

import sqlglot
from sqlglot import ErrorLevel, exp

Rule = Callable[[exp.Expr], exp.Expr]
Macros = dict[str, tuple[list[str], exp.Expr]]


def spark_statements(texts: Iterable[str]) -> Iterator[str]:
    """Translate files of `sql/`, in their order, into statements that Spark runs.

    Parameters
    ----------
    texts : iterable of str
        DuckDB SQL: ``create table``, ``create temp view`` and ``create macro``. A macro is written
        out where it is called, since Spark would want its types declared.

    Yields
    ------
    str
        One statement each.

    Raises
    ------
    sqlglot.errors.SqlglotError
        If a statement cannot be read, or Spark has no word for what it says.
    """
    macros: Macros = {}
    for text in texts:
        for statement in sqlglot.parse(text, read="duckdb"):
            if statement is None:
                continue
            if statement.args.get("kind") == "MACRO":
                macros |= _macro(statement)
            else:
                yield _translated(statement, macros)


def _macro(statement: exp.Expr) -> Macros:
    head = statement.this
    return {head.this.name: ([one.name for one in head.expressions], statement.expression)}


def _translated(statement: exp.Expr, macros: Macros) -> str:
    said = statement.transform(lambda node: _written_out(node, macros))
    for rule in RULES:
        said = said.transform(rule)
    return said.sql(
        dialect="spark",
        comments=False,
        normalize_functions=False,
        unsupported_level=ErrorLevel.RAISE,
    )


def _written_out(node: exp.Expr, macros: Macros) -> exp.Expr:
    """Put a macro's body where it is called, with the call's arguments in it."""
    if not isinstance(node, exp.Anonymous) or node.name not in macros:
        return node
    names, body = macros[node.name]
    given = dict(zip(names, node.expressions, strict=True))

    def argument(part: exp.Expr) -> exp.Expr:
        is_parameter = isinstance(part, exp.Column) and not part.table and part.name in given
        return given[part.name].copy() if is_parameter else part

    return exp.paren(body.transform(argument))


def _decimals_are_doubles(node: exp.Expr) -> exp.Expr:
    """Beside a whole number Spark reckons with 86400.0 in fixed point, to seven places."""
    if isinstance(node, exp.Literal) and not node.is_string and not node.is_int:
        return exp.cast(node, "double")
    return node


def _floor_stays_a_double(node: exp.Expr) -> exp.Expr:
    """Spark's floor gives a whole number, and a column would change its type with it."""
    return exp.cast(node, "double") if isinstance(node, exp.Floor) else node


def _extremes_pass_over_null(node: exp.Expr) -> exp.Expr:
    """DuckDB's arg_min passes over rows whose value is null; Spark's min_by gives that null."""
    if isinstance(node, exp.Filter) and isinstance(node.this, exp.ArgMin | exp.ArgMax):
        known = exp.and_(node.expression.this, _is_known(node.this.this))
        return exp.Filter(this=node.this, expression=exp.Where(this=known))
    if isinstance(node, exp.ArgMin | exp.ArgMax) and not isinstance(node.parent, exp.Filter):
        return exp.Filter(this=node, expression=exp.Where(this=_is_known(node.this)))
    return node


def _is_known(value: exp.Expr) -> exp.Expr:
    return exp.not_(exp.Is(this=value.copy(), expression=exp.null()))


def _lists_keep_order_and_null(node: exp.Expr) -> exp.Expr:
    """Spark's collect_list drops nulls and knows no order: gather pairs, sort them, open them."""
    if isinstance(node, exp.Filter) and isinstance(node.this, exp.ArrayAgg):
        pairs = exp.Filter(this=_pairs(node.this.this), expression=node.expression)
        return _opened(pairs)
    if isinstance(node, exp.ArrayAgg) and not isinstance(node.parent, exp.Filter):
        return _opened(_pairs(node.this))
    return node


def _pairs(value: exp.Expr) -> exp.Expr:
    """Gather what a list is ordered by and its entry; such a pair is never null."""
    keys = []
    if isinstance(value, exp.Order):
        value, keys = value.this, [_ascending(key) for key in value.expressions]
    pair = exp.Struct(expressions=[*keys, exp.alias_(value, "entry")])
    return exp.Anonymous(this="collect_list", expressions=[pair])


def _opened(pairs: exp.Expr) -> exp.Expr:
    opened = sqlglot.parse_one("transform(array_sort(pairs), pair -> pair.entry)", read="spark")
    (place,) = (part for part in opened.find_all(exp.Column) if part.name == "pairs")
    place.replace(pairs)
    return opened


def _ascending(key: exp.Expr) -> exp.Expr:
    if key.args.get("desc"):
        raise NotImplementedError("a list in descending order has no translation yet")
    return key.this


RULES: tuple[Rule, ...] = (
    _decimals_are_doubles,
    _floor_stays_a_double,
    _extremes_pass_over_null,
    _lists_keep_order_and_null,
)
