"""The cellar: the DuckDB file derived from a checked logbook by the numbered files in `sql/`."""
