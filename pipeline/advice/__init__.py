"""Decisions with reasons: predict, compare, suggest. No formatting here."""
