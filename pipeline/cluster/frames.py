"""The frames that the first layer of `sql/` reads, as Spark has them."""

from collections.abc import Iterable, Iterator, Mapping

import polars as pl
import pyarrow as pa
from pyspark.sql import DataFrame, SparkSession
from pyspark.sql.types import DoubleType, StructField, StructType

from pipeline.cellar.sources import readings_frame
from pipeline.logbook import Settings

# What DuckDB does of itself.
_MEANINGS = {
    # Dates and times are those of the maker's clock and stand in no zone.
    "spark.sql.timestampType": "TIMESTAMP_NTZ",
    "spark.sql.session.timeZone": "UTC",
    # A division by nought is unknown, that is null; otherwise it would end the whole run.
    "spark.sql.ansi.enabled": "false",
    # A maker's two headings may differ in capitals only, and both are kept in the raw tables.
    "spark.sql.caseSensitive": "true",
}


def mean_as_duckdb(session: SparkSession) -> None:
    """Set the session's rules so that its SQL means what DuckDB's does."""
    for setting, value in _MEANINGS.items():
        session.conf.set(setting, value)


def frames_of(session: SparkSession, sources: Mapping[str, pl.DataFrame]) -> dict[str, DataFrame]:
    """Return the source frames of a checked logbook as Spark frames, sent from this machine.

    Parameters
    ----------
    session : pyspark.sql.SparkSession
        Is set as `mean_as_duckdb` says: the frames' times are read by its rules.
    sources : mapping of str to polars.DataFrame
        As `pipeline.cellar.sources.sources_of` gives them.
    """
    mean_as_duckdb(session)
    return {name: session.createDataFrame(frame.to_arrow()) for name, frame in sources.items()}


def with_gravities(readings: DataFrame, settings: Settings) -> DataFrame:
    """Return readings that this machine never held, ready to be ``logbook_readings``.

    Parameters
    ----------
    readings : pyspark.sql.DataFrame
        Typed and in SI, with the columns that the logbook's typed readings have; for instance
        Parquet that many instruments wrote.
    settings : Settings
        Of the logbook: what the hydrometers are calibrated at, and by how much they are off.

    Returns
    -------
    pyspark.sql.DataFrame
        With ``shown_sg`` and ``corrected_sg`` [specific gravity]; see
        `pipeline.cellar.sources.readings_frame`, which works them out on each worker.
    """
    added = [StructField(name, DoubleType()) for name in ("shown_sg", "corrected_sg")]

    def corrected(batches: Iterable[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
        for batch in batches:
            frame = readings_frame(pl.DataFrame(batch), settings)
            as_sent = batch.schema
            for name in ("shown_sg", "corrected_sg"):
                as_sent = as_sent.append(pa.field(name, pa.float64()))
            yield from frame.to_arrow().select(as_sent.names).cast(as_sent).to_batches()

    return readings.mapInArrow(corrected, StructType([*readings.schema.fields, *added]))
