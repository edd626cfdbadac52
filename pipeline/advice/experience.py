"""What a logbook has seen: the ranges within which its advice may stay."""

from dataclasses import dataclass, field

import polars as pl

RANGED = ("fruit_load_kg_l", "contact_days", "must_temperature_mean_c", "alcohol", "cost")
EDGES = (0.02, 0.98)  # the outermost batches are often slips
FEWEST_OF_A_KIND = 3
# Kind of addition that advice may bring in: which of its powders, where it matters.
ADDED = {"acid": "", "nutrient": "diammonium phosphate", "enzyme": "pectic"}


@dataclass(frozen=True)
class Powder:
    """A powder that the logbook has used often enough.

    Parameters
    ----------
    name : str
        As the maker mostly writes it.
    key : str
        In the reference table.
    usual_kg_l, most_kg_l : float
        Median and nearly largest dose, per litre of target [kg/L].
    """

    name: str
    key: str
    usual_kg_l: float
    most_kg_l: float


@dataclass(frozen=True)
class Experience:
    """Ranges and kinds that enough batches of a logbook show.

    Parameters
    ----------
    ranges : dict of str to (float, float)
        Column of `batches` to the range that nearly all batches lie in.
    yeasts : tuple of str
        Strains with at least three batches.
    skins : frozenset
        (fruit, on or off) that some batch had, where the logbook has used fruit both ways.
    forms : frozenset
        (form, frozen) of at least three batches.
    powders : dict of str to Powder
        Kind of addition to the powder that is used most for it.
    """

    ranges: dict[str, tuple[float, float]]
    yeasts: tuple[str, ...]
    skins: frozenset[tuple[str, str]]
    forms: frozenset[tuple[str, bool]]
    powders: dict[str, Powder] = field(default_factory=dict)

    def has(self, column: str, value: float) -> bool:
        """Tell whether a value lies within what the logbook has seen."""
        if column not in self.ranges:
            return False
        low, high = self.ranges[column]
        return low <= value <= high

    def knows_form(self, form: str, *, is_frozen: bool) -> bool:
        """Tell whether fruit was used in that form often enough."""
        return (form, is_frozen) in self.forms

    def knows_skins(self, fruit: str, skins: str) -> bool:
        """Tell whether this very fruit was used with its skins on, or off."""
        return (fruit, skins) in self.skins


def experience_of(batches: pl.DataFrame, additions: pl.DataFrame) -> Experience:
    """Return the experience of a logbook.

    Parameters
    ----------
    batches : polars.DataFrame
        The table `batches`.
    additions : polars.DataFrame
        The table `must_lines`.
    """
    logged = additions.filter(~pl.col("is_planned"))
    fruit = logged.filter(pl.col("kind") == "fruit")
    return Experience(
        ranges={name: edges for name in RANGED if (edges := _range(batches[name])) is not None},
        yeasts=tuple(_often(batches["yeast"].drop_nulls().to_frame(), "yeast")["yeast"].sort()),
        skins=_skins(fruit),
        forms=frozenset(
            _often(fruit.drop_nulls("form"), "form", "is_frozen")
            .select("form", "is_frozen")
            .iter_rows()
        ),
        powders=_powders(logged, batches),
    )


def _skins(fruit: pl.DataFrame) -> frozenset[tuple[str, str]]:
    told = fruit.drop_nulls("skins")
    if len(_often(told, "skins")) < 2:
        return frozenset()
    return frozenset(told.select("ingredient_name", "skins").unique().iter_rows())


def _powders(logged: pl.DataFrame, batches: pl.DataFrame) -> dict[str, Powder]:
    """Return, for each kind of powder advice may bring in, the one that this maker uses most."""
    targets = batches.select(must_id="batch_id", target="target_volume_l")
    weighed = logged.filter(
        pl.col("kind").is_in(list(ADDED)), pl.col("amount_kg") > 0, pl.col("ingredient_key") != ""
    ).join(targets, on="must_id")
    dosed = weighed.filter(pl.col("target") > 0).with_columns(
        dose=pl.col("amount_kg") / pl.col("target")
    )
    found = {}
    for kind, word in ADDED.items():
        own = dosed.filter(
            pl.col("kind") == kind,
            pl.col("ingredient_key").str.contains(word, literal=True),
        )
        if own.height >= FEWEST_OF_A_KIND:
            found[kind] = _most_used(own)
    return found


def _most_used(own: pl.DataFrame) -> Powder:
    key = own["ingredient_key"].value_counts(sort=True)["ingredient_key"][0]
    same = own.filter(pl.col("ingredient_key") == key)
    name = same["ingredient"].value_counts(sort=True)["ingredient"][0]
    doses = same["dose"]
    usual, most = (float(doses.quantile(share) or 0.0) for share in (0.5, EDGES[1]))
    return Powder(name, key, usual, most)


def _range(values: pl.Series) -> tuple[float, float] | None:
    known = values.drop_nulls()
    if known.len() < FEWEST_OF_A_KIND:
        return None
    low, high = (known.quantile(edge, "linear") for edge in EDGES)
    return (float(low), float(high)) if low is not None and high is not None else None


def _often(frame: pl.DataFrame, *columns: str) -> pl.DataFrame:
    counted = frame.group_by(columns).len()
    return counted.filter(pl.col("len") >= FEWEST_OF_A_KIND)
