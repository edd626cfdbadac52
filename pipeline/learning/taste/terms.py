"""What taste is made of: the terms of each answer, and how large each usually is.

A term is a number worked out from the inputs. Its coefficient is expected to be `mean` give or
take `sd`: rules of the trade with generous doubt, common practice, no source. A large logbook
overrules them; a small one leans on them. Steps are chosen so that one step is an ordinary
difference between two wines.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from pipeline.learning.mixed.columns import Columns, Prior
from pipeline.learning.taste.inputs import USUAL_LOAD, TasteInputs
from pipeline.learning.taste.tannin import Shape, bend_columns, tannin

YOUTH_DAYS = 200.0  # [days] in which youth's roughness falls to a third; common practice
SHARP_FROM = 7.5  # [g/L as tartaric] above which acid bites; common practice
WARM_FROM = 24.0  # [°C] above which a ferment turns rough; common practice
STRONG_FROM = 13.5  # [% vol] above which spirit shows; common practice
SULPHITE_FROM = 80.0  # [mg/L] added, above which it may be tasted; common practice
HARSH_FROM = 4.0  # [of 10] harshness above which it costs marks; common practice
LINES = Prior(1.0, 0.35)


@dataclass(frozen=True)
class Term:
    """One column: its name among `term_values` and its expected coefficient."""

    name: str
    mean: float
    sd: float


@dataclass(frozen=True)
class Terms:
    """The terms of one answer, and spreads of what belongs to a fruit, yeast, recipe or evening."""

    lines: tuple[Term, ...]
    level: tuple[float, float]  # where the answer lies for an ordinary wine, and the doubt
    fruit: Prior
    fruit_grip: Prior
    yeast: Prior
    recipe: Prior
    session: Prior
    batch: tuple[float, float]
    glass_sd: float
    severity_sd: float
    bends: bool = False  # whether it is this answer that the curve of tannin is learnt from


HARSHNESS = Terms(
    lines=(
        Term("grip", 3.0, 1.2),
        Term("acid", 0.12, 0.12),
        Term("sharp", 0.15, 0.15),
        Term("alcohol", 0.25, 0.12),
        Term("strong", 0.1, 0.12),
        Term("sweet", -0.45, 0.3),
        Term("warm", 0.2, 0.12),
        Term("temperature", 0.0, 0.03),
        Term("shortfall", 0.8, 0.6),
        Term("young", 2.0, 0.9),
        Term("very young", 0.0, 0.7),
        Term("sulphite", 0.15, 0.2),
        Term("unripe", 0.4, 0.4),
        Term("overripe", 0.0, 0.25),
        Term("crushed", 0.0, 0.25),
        Term("frozen", 0.0, 0.2),
        Term("enzyme", 0.0, 0.2),
        Term("heat", 0.1, 0.3),
        Term("pressing", 0.1, 0.2),
        Term("load", 0.0, 0.15),
        Term("starch", 0.0, 0.1),
    ),
    level=(2.4, 1.2),
    fruit=Prior(0.25, 0.5),
    fruit_grip=Prior(0.7, 0.4),
    yeast=Prior(0.15, 0.5),
    recipe=Prior(0.15, 0.5),
    session=Prior(0.2, 0.5),
    batch=(0.35, 0.5),
    glass_sd=0.6,
    severity_sd=0.6,
    bends=True,
)

SCORE = Terms(
    lines=(
        Term("rough", -0.6, 0.4),
        Term("thin", -2.0, 1.5),
        Term("load", 0.0, 0.4),
        Term("shortfall", -1.2, 0.9),
        Term("heat", -0.6, 0.6),
        Term("starch", -0.3, 0.3),
        Term("frozen", 0.2, 0.4),
        Term("enzyme", 0.2, 0.4),
        Term("crushed", 0.0, 0.4),
        Term("pressing", 0.0, 0.3),
        Term("unripe", -0.4, 0.5),
        Term("overripe", -0.2, 0.5),
        Term("young", -1.5, 1.2),
        Term("alcohol", 0.0, 0.2),
        Term("alcohol²", -0.06, 0.08),
        Term("acid", 0.0, 0.25),
        Term("acid²", -0.10, 0.08),
        Term("sweet", 0.5, 0.6),
        Term("sweet²", -0.3, 0.3),
        Term("sweet × acid", 0.15, 0.15),
        Term("sweet × grip", 0.5, 0.6),
        Term("acid × grip", -0.15, 0.2),
        Term("grip", 0.0, 0.8),
        Term("warm", -0.1, 0.15),
        Term("sulphite", -0.1, 0.25),
    ),
    level=(14.0, 2.0),
    fruit=Prior(0.9, 0.4),
    fruit_grip=Prior(0.4, 0.4),
    yeast=Prior(0.4, 0.5),
    recipe=Prior(0.4, 0.5),
    session=Prior(0.3, 0.5),
    batch=(0.9, 0.4),
    glass_sd=1.1,
    severity_sd=1.2,
)


def term_values(inputs: TasteInputs, grip: np.ndarray) -> dict[str, np.ndarray]:
    """Work out every term from the inputs and the grip of the tannin."""
    number = inputs.number
    acid = number["acidity"] - 6.5
    alcohol = number["alcohol"] - 12.0
    sweet = np.log1p(np.maximum(number["residual_sugar"], 0.0) / 10.0)
    load = number["load"]
    return {
        "grip": grip,
        "acid": acid,
        "acid²": acid**2,
        "sharp": _over(number["acidity"], SHARP_FROM, 0.8),
        "alcohol": alcohol,
        "alcohol²": alcohol**2,
        "strong": _over(number["alcohol"], STRONG_FROM, 0.5),
        "sweet": sweet,
        "sweet²": sweet**2,
        "sweet × acid": sweet * acid,
        "sweet × grip": sweet * grip,
        "acid × grip": acid * grip,
        "warm": _over(number["must_temperature"], WARM_FROM, 1.0),
        "temperature": number["must_temperature"] - 21.0,
        "shortfall": number["shortfall"],
        "young": np.exp(-number["age"] / YOUTH_DAYS),
        "very young": np.exp(-number["age"] / (0.3 * YOUTH_DAYS)),
        "sulphite": _over(number["sulphite"], SULPHITE_FROM, 15.0) / 50.0,
        "load": (load - USUAL_LOAD) / 0.2,
        "thin": np.exp(-load / 0.15),
        "starch": number["starch"] / 5.0,
        "rough": _over(number.get("harshness", np.full(load.size, 3.5)), HARSH_FROM, 0.4),
        **{name: number[name] for name in AS_THEY_ARE},
    }


AS_THEY_ARE = ("unripe", "overripe", "crushed", "frozen", "enzyme", "heat", "pressing")


def _over(values: np.ndarray, start: float, blur: float) -> np.ndarray:
    """Return by how much values exceed the start, with the corner rounded off."""
    excess: np.ndarray = blur * np.logaddexp(0.0, (values - start) / blur)
    return excess


def taste_columns(
    inputs: TasteInputs,
    terms: Terms,
    curve: tuple[Shape, float],
    fruits: tuple[str, ...],
    yeasts: tuple[str, ...],
) -> tuple[np.ndarray, Columns]:
    """Return what is expected beforehand (n,) and the columns of departures from it.

    curve is the shape of the tannin's grip and how many points the whole of it is worth.
    """
    found = tannin(inputs, curve[0])
    values = term_values(inputs, found.grip)
    columns = Columns(len(inputs))
    columns.line("level", np.ones(len(inputs)), Prior(1.0), scale=1.0 / terms.level[1])
    lines = np.column_stack([values[term.name] for term in terms.lines])
    expected = terms.level[0] + lines @ np.array([term.mean for term in terms.lines])
    steps = sparse.csr_array(lines * np.array([term.sd for term in terms.lines]))
    columns.block("lines", steps, [term.name for term in terms.lines], LINES)
    columns.block("fruit", inputs.fruit, [*fruits, "?"], terms.fruit)
    columns.block("yeast", inputs.yeast, [*yeasts, "?"], terms.yeast)
    if terms.bends:
        expected = expected - bend_columns(columns, inputs, *curve, fruits)
    else:
        share = sparse.diags_array(found.grip) @ found.fruit_share()
        columns.block("fruit × grip", sparse.csr_array(share), [*fruits, "?"], terms.fruit_grip)
    return expected, columns


def grip_worth(terms: Terms, columns: Columns, coefficients: np.ndarray) -> float:
    """Return how many points of the answer the whole of the tannin's grip is worth."""
    place = [term.name for term in terms.lines].index("grip")
    term = terms.lines[place]
    return term.mean + term.sd * float(coefficients[columns.terms["lines"][place]])
