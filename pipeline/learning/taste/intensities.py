"""The single intensities: the terms of harshness and score with expectations of their own."""

from __future__ import annotations

from dataclasses import replace

from pipeline.learning.mixed.columns import Prior
from pipeline.learning.taste.terms import HARSHNESS, SCORE, Term, Terms

# Expected change per step of a term, of 10: common practice, no source.
INTENSITY_MEANS: dict[str, dict[str, float]] = {
    "sweetness": {"sweet": 2.5, "acid": -0.2},
    "sourness": {"acid": 0.8, "sharp": 0.2, "sweet": -0.6},
    "astringency": {"grip": 4.5, "sharp": 0.3, "young": 2.0, "sweet": -0.6},
    "bitterness": {"grip": 2.0, "warm": 0.3, "shortfall": 1.5, "young": 1.0, "sweet": -0.4},
    "warmth": {"alcohol": 0.8, "strong": 0.3, "young": 1.5, "sweet": -0.3},
    "body": {"thin": -2.0, "load": 0.6, "sweet": 0.5},
    "fruit": {"thin": -2.0, "load": 0.6, "heat": -0.8},
}


def intensity_terms(name: str) -> Terms:
    """Return the terms of one intensity: those of harshness, with its own expectations."""
    means = INTENSITY_MEANS[name]
    wide = {term.name: 1.6 * term.sd for term in (*SCORE.lines, *HARSHNESS.lines)}
    wide.pop("rough")
    lines = tuple(Term(key, means.get(key, 0.0), sd) for key, sd in wide.items())
    return replace(
        HARSHNESS,
        lines=lines,
        level=(4.0, 2.0),
        fruit=Prior(0.5, 0.5),
        fruit_grip=Prior(1.0, 0.5),
        batch=(0.5, 0.5),
        glass_sd=0.9,
        severity_sd=0.9,
        bends=False,
    )
