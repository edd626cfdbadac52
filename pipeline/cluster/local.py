"""Spark on this machine alone: for tests, and for trying what a cluster would make."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from pyspark.sql import SparkSession

# A logbook that one machine reads is small to Spark: cutting it into 200 parts, planning each query
# anew while it runs and compiling it twice over all take longer than running it.
_SMALL = {
    "spark.sql.shuffle.partitions": "1",
    "spark.default.parallelism": "1",
    "spark.sql.adaptive.enabled": "false",
    "spark.sql.codegen.wholeStage": "false",
    "spark.sql.codegen.factoryMode": "NO_CODEGEN",
    "spark.driver.extraJavaOptions": "-XX:TieredStopAtLevel=1 -XX:+UseSerialGC",
    "spark.ui.enabled": "false",
    "spark.ui.showConsoleProgress": "false",
}


@contextmanager
def local_session() -> Iterator[SparkSession]:
    """Give a session whose workers are threads and processes of this machine, and end it."""
    # Workers must be this Python: another may lack hedgerow.
    os.environ["PYSPARK_PYTHON"] = sys.executable
    builder = SparkSession.builder.master("local[2]").appName("hedgerow")
    for setting, value in _SMALL.items():
        builder = builder.config(setting, value)
    session = builder.getOrCreate()
    session.sparkContext.setLogLevel("ERROR")
    try:
        yield session
    finally:
        session.stop()
