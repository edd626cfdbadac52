"""The cellar: the DuckDB file derived from a checked logbook by the numbered files in `sql/`."""

from pipeline.cellar.build import load_cellar
from pipeline.cellar.store import Cellar

__all__ = ["Cellar", "load_cellar"]
