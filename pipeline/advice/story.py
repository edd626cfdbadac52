"""One batch's story: every row that names it, what happened on which day, and what it holds."""

from datetime import date, datetime
from typing import Any, NamedTuple

import polars as pl

from pipeline.advice.cautions import cautions_due
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.cellar import Cellar
from pipeline.logbook.dates import read_date
from pipeline.logbook.problems import Fault

# By the contract's name of a file: where its rows stand typed, their day and, if any, their hour.
_DATED = {
    "batches": ("started_on", "staged_batches", "started_on"),
    "additions": ("added_on", "staged_additions", "added_at"),
    "readings": ("taken_on", "readings", "taken_at"),
    "transfers": ("moved_on", "steps", "moved_on"),
    "tastings": ("tasted_on", "glasses", "tasted_on"),
}
_DONE = {"strain": "strained", "rack": "racked", "chill": "chilled", "bottle": "bottled"}
# What a taster meets as balance, and what keeps a wine.
BALANCE = ("alcohol", "ta_tartaric_g_l", "residual_sugar_g_l", "ph", "free_so2_mg_l")
_BY_STATE = {
    "fermenting": ("ferment", "pulp"),
    "stuck": ("ferment", "jar"),
    "ageing": ("jar", "drink"),
    "bottled": ("bottle", "drink"),
}


class LogRow(NamedTuple):
    """A row of the logbook that names a batch, as it was written.

    Attributes
    ----------
    happened_at : datetime.datetime or None
        None if its date cannot be read.
    table, file : str
        The contract's name, and the file as the maker knows it.
    line : int
        Where it begins.
    cells : dict of str to str
        By column, as written, without the batch and without empty ones.
    is_set_aside : bool
        Whether it could not be used.
    """

    happened_at: datetime | None
    table: str
    file: str
    line: int
    cells: dict[str, str]
    is_set_aside: bool


def batch_log(cellar: Cellar, batch_id: str) -> list[LogRow]:
    """Return every row that names a batch, set aside or not, by date; undated ones last.

    Parameters
    ----------
    cellar : Cellar
    batch_id : str
        As in the cellar.
    """
    files = dict(cellar.table("files").select("contract_file", "file").iter_rows())
    rows = [
        row
        for table in _DATED
        if table in files
        for row in _rows_of(cellar, table, files[table], batch_id)
    ]
    order = list(_DATED)
    return sorted(
        rows, key=lambda row: (row.happened_at or datetime.max, order.index(row.table), row.line)
    )


def _rows_of(cellar: Cellar, table: str, file: str, batch_id: str) -> list[LogRow]:
    column, typed, moment = _DATED[table]
    raw = cellar.table(f"raw_{table}")
    if "batch_id" not in raw.columns:
        return []
    mine = raw.filter(pl.col("batch_id").str.strip_chars() == batch_id)
    known = cellar.table(typed).filter(pl.col("batch_id") == batch_id).select("line", moment)
    moments = dict(known.unique("line").iter_rows())
    order = cellar.settings()["dates"]
    return [
        LogRow(
            _midnight(moments.get(row["line"]) or _day(row.get(column), order)),
            table,
            file,
            row["line"],
            {name: cell for name, cell in row.items() if _is_told(name, cell)},
            row["is_set_aside"],
        )
        for row in mine.iter_rows(named=True)
    ]


def _is_told(name: str, cell: Any) -> bool:
    return bool(cell) and name not in ("batch_id", "line", "is_set_aside")


def _day(text: str | None, order: Any) -> date | None:
    """Return the day of a row that was set aside, where its date can be read."""
    found = read_date(text, order) if text and text.strip() else Fault("", "")
    return None if isinstance(found, Fault) else found[0]


def _midnight(day: date | None) -> datetime | None:
    if day is None or isinstance(day, datetime):
        return day
    return datetime(day.year, day.month, day.day)


def events(cellar: Cellar, batch_id: str) -> pl.DataFrame:
    """Return what was done to a batch, one row a day and kind of thing.

    Returns
    -------
    polars.DataFrame
        ``day`` (since the start), ``what`` (added, fruit out, strained, racked, chilled or
        bottled) and ``told`` (what was added, as written).
    """
    start = cellar.batch(batch_id)["started_on"]
    added = cellar.table("staged_additions").filter(pl.col("batch_id") == batch_id)
    raw = cellar.table("raw_additions").select("line", "amount")
    told = pl.concat_str("ingredient", pl.lit(" "), pl.col("amount").fill_null(""))
    went_in = added.join(raw, on="line", how="left").select(
        _days_since(start, "added_on"), what=pl.lit("added"), told=told
    )
    out = added.drop_nulls("removed_on").select(
        _days_since(start, "removed_on"), what=pl.lit("fruit out"), told="ingredient"
    )
    steps = cellar.table("steps").filter(pl.col("batch_id") == batch_id)
    moved = steps.select(pl.col("day").floor(), what=pl.col("step").replace(_DONE), told=pl.lit(""))
    return (
        pl.concat([went_in, out, moved])
        .group_by("day", "what", maintain_order=True)
        .agg(pl.col("told").unique(maintain_order=True).str.join("; "))
        .sort("day", maintain_order=True)
    )


def _days_since(start: date, column: str) -> pl.Expr:
    return (pl.col(column) - pl.lit(start)).dt.total_days().cast(pl.Float64).alias("day")


def volumes(cellar: Cellar, batch_id: str) -> pl.DataFrame:
    """Return how much there was at each stage, from the must to the bottles.

    Returns
    -------
    polars.DataFrame
        ``stage`` (must, strained, racked, chilled or bottled), ``happened_on``, ``volume_l``,
        ``is_measured`` (or worked out from what went in), ``topped_up_l``. A stage of unknown
        volume is left out.
    """
    batch = cellar.batch(batch_id)
    steps = cellar.table("steps").filter(pl.col("batch_id") == batch_id).sort("step_number")
    worked_out = {"must": batch["liquid_l"]}
    if steps.filter(
        (pl.col("step") == "strain") & pl.col("volume_after_l").is_not_null()
    ).is_empty():
        worked_out["strained"] = batch["strained_expected_l"]
    first = pl.DataFrame(
        {
            "stage": list(worked_out),
            "happened_on": [batch["started_on"], None][: len(worked_out)],
            "volume_l": list(worked_out.values()),
            "is_measured": [False] * len(worked_out),
            "topped_up_l": [None] * len(worked_out),
        },
        schema_overrides={
            "volume_l": pl.Float64,
            "topped_up_l": pl.Float64,
            "happened_on": pl.Date,
        },
    )
    measured = steps.select(
        stage=pl.col("step").replace(_DONE),
        happened_on="moved_on",
        volume_l="volume_after_l",
        is_measured=True,
        topped_up_l="topped_up_l",
    )
    return pl.concat([first, measured]).drop_nulls("volume_l")


def balance(cellar: Cellar, batch_id: str) -> pl.DataFrame:
    """Set what a batch holds beside the maker's other batches.

    Returns
    -------
    polars.DataFrame
        One row a measure of `BALANCE` that is known of the batch: ``measure``, ``value``,
        ``middle``, ``low`` and ``high`` of the others (null without any), ``others`` (how many).
    """
    batches = cellar.table("batches")
    own = batches.filter(pl.col("batch_id") == batch_id)
    other = batches.filter((pl.col("batch_id") != batch_id) & (pl.col("state") != "lost"))
    rows = [
        {
            "measure": name,
            "value": own[name].item(0),
            "middle": other[name].median(),
            "low": other[name].min(),
            "high": other[name].max(),
            "others": other[name].count(),
        }
        for name in BALANCE
        if own[name].item(0) is not None
    ]
    numbers = dict.fromkeys(("value", "middle", "low", "high"), pl.Float64)
    schema = {"measure": pl.String, **numbers, "others": pl.Int64}
    return pl.DataFrame(rows, schema=schema, orient="row")


def costs(cellar: Cellar, batch_id: str) -> tuple[int, int]:
    """Return how many of a batch's additions have a cost, and how many there are."""
    added = cellar.table("staged_additions").filter(pl.col("batch_id") == batch_id)
    return int(added["cost"].count()), added.height


def batch_cautions(cellar: Cellar, batch_id: str) -> list[dict[str, str]]:
    """Return what can hurt somebody about a batch as it stands, the gravest first."""
    batch = cellar.batch(batch_id)
    fruits = cellar.table("must_fruits").filter(pl.col("must_id") == batch_id)
    added = cellar.table("staged_additions").filter(pl.col("batch_id") == batch_id)
    glasses = cellar.table("glasses").filter(pl.col("batch_id") == batch_id)
    faults = {part.strip() for text in glasses["faults"].drop_nulls() for part in text.split(";")}
    now = Circumstances(
        fruits=set(fruits["fruit"]),
        has_stone_fruit=bool(fruits["is_stone_fruit"].any()),
        extraction=batch["extraction"],
        kinds=set(added["kind"]),
        ripeness=set(added["ripeness"].drop_nulls()),
        sugar_g_l=batch["residual_sugar_g_l"],
        ph=batch["ph"],
        faults=faults,
        steps=_BY_STATE.get(batch["state"], ()),
    )
    return [caution.as_dict() for caution in cautions_due(now)]
