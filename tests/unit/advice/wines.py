"""Readings of invented wines."""

from datetime import date

from pipeline.advice.bench.wine import Reading

ON = date(2026, 5, 1)


def reading(value, error=0.0):
    return Reading(value, ON, "readings.csv", 2, error)
