"""Which column is which: a proposal from its heading, its unit and the look of its cells."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pipeline.logbook.contract import INTENSITIES
from pipeline.logbook.importing.dates import looks_like_day
from pipeline.logbook.importing.ingredients import identify
from pipeline.logbook.importing.layouts import find_layout, fitted
from pipeline.logbook.importing.moments import when_of
from pipeline.logbook.importing.plan import ColumnPlan, Layout
from pipeline.logbook.importing.sheet import Sheet
from pipeline.logbook.importing.vocabulary import Name, read_name
from pipeline.logbook.units import find_unit

_INGREDIENT_NAMES = {
    "fruit": "",
    "water": "water",
    "sugar": "white sugar",
    "honey": "honey",
    "juice": "juice",
    "tannin": "tannin",
    "nutrient": "yeast nutrient",
    "enzyme": "pectic enzyme",
    "yeast": "yeast",
    "sorbate": "potassium sorbate",
    "acid": "",
    "sulphite": "",
    "fining": "",
    "base": "",
}
# What a kind of thing is called where it is measured in the wine: `Säure g/l` is no addition.
_PER_LITRE = {"acid": "readings.ta", "sulphite": "readings.free_so2"}
_STEPS = {"strained": "strain", "racked": "rack", "bottled": "bottle"}
_BATCH_COLUMNS = ("name", "recipe", "started_on", "target_volume", "extraction", "status")
_TASTING_COLUMNS = ("taster", "tasted_on", "score", "faults", "blind", *INTENSITIES)
_ADDITION_COLUMNS = ("ingredient", "amount", "unit", "kind", "cost", "form", "skins", "ripeness")
_READING_COLUMNS = ("ph", "ta", "ta_as", "free_so2", "temperature", "must_temperature")
# Two of these in one heading, and no taster: the sheet tells how batches were made, scores too.
_OF_THE_MAKING = frozenset(
    {"started_on", "sugar", "water", "juice", "nutrient", "gravity_start", "target_volume"}
)
_GRAVITY = re.compile(r"~?(?:[01]?[.,][0-9]{2,4}|9[0-9]{2}|1[01][0-9]{2})\??")
_STARTS_WITH_NUMBER = re.compile(
    r"(?:~|to |about |ca\.? |[<>] ?)?[0-9.,]*[0-9½¼¾⅓⅔⅛]", re.IGNORECASE
)


@dataclass(frozen=True)
class _Look:
    """What the cells of a column look like, as shares of those that are filled."""

    numbers: float
    days: float
    gravities: float


def propose_columns(
    sheet: Sheet, wanted: Layout | None = None
) -> tuple[tuple[ColumnPlan, ...], Layout]:
    """Propose what each column is, and whether a row is a batch or an entry, unless it is said."""
    looks = [_look([row.cells[at] for row in sheet.rows]) for at in range(len(sheet.heading))]
    names = [
        _meant(read_name(heading), look) for heading, look in zip(sheet.heading, looks, strict=True)
    ]
    is_tasting = _is_of_tastings({name.concept for name in names})
    plans = []
    for at, (heading, name, look) in enumerate(zip(sheet.heading, names, looks, strict=True)):
        label = heading or f"column {at + 1}"
        if not heading:
            plans.append(ColumnPlan(label, "notes"))
        else:
            plans.append(_propose(label, name, look, is_tasting=is_tasting))
    plans = _with_kind_of_names(plans)
    layout = wanted or find_layout(plans, sheet)
    return fitted(_each_once(plans), layout), layout


def _look(cells: Sequence[str]) -> _Look:
    filled = [cell.strip() for cell in cells if cell.strip()]
    count = max(len(filled), 1)
    return _Look(
        sum(_STARTS_WITH_NUMBER.match(cell) is not None for cell in filled) / count,
        sum(looks_like_day(cell) for cell in filled) / count,
        sum(_GRAVITY.fullmatch(cell) is not None for cell in filled) / count,
    )


def _meant(name: Name, look: _Look) -> Name:
    """Tell by its cells whether a column about taste holds scores or who tasted."""
    if name.concept in ("taste", "taster") and look.numbers >= 0.5:
        return name._replace(concept="score")
    return name


def _is_of_tastings(concepts: set[str | None]) -> bool:
    """Whether a `Fruit` beside these columns would be how fruity a glass was."""
    is_of_making = len(concepts & _OF_THE_MAKING) >= 2 and "taster" not in concepts
    return bool(concepts & {"taster", "score"}) and not is_of_making


def _propose(heading: str, name: Name, look: _Look, *, is_tasting: bool) -> ColumnPlan:
    when = when_of(heading)
    if name.concept is None and when is not None:
        return _dated_reading(heading, when.text, when.rest, look)
    if name.concept is None:
        return _named_ingredient(heading, name, look)
    if is_tasting and name.concept in INTENSITIES:
        return ColumnPlan(heading, f"tastings.{name.concept}")
    return _by_concept(heading, name, look)


def _dated_reading(heading: str, when: str, rest: str, look: _Look) -> ColumnPlan:
    """Return the plan of a column such as `Day 3` or `pH 10/8`."""
    name = read_name(rest) if rest else None
    if name is None or name.concept in ("gravity", None):
        is_gravity = look.gravities >= 0.5 or (name is not None and name.concept == "gravity")
        if not is_gravity:
            return ColumnPlan(heading, "notes")
        unit = name.unit if name else ""
        return ColumnPlan(heading, "readings.gravity", "" if unit == "SG" else unit, when=when)
    if name.concept in (*_READING_COLUMNS, "volume"):
        plan = _by_concept(heading, name, look)
        return plan._replace(when=when)
    return ColumnPlan(heading, "notes")


def _named_ingredient(heading: str, name: Name, look: _Look) -> ColumnPlan:
    """Return the plan of a column headed by the name of what went in, such as `raisins (g)`."""
    found = identify(name.words)
    if found.kind and not found.is_open and (name.unit or look.numbers >= 0.5):
        return ColumnPlan(
            heading, "additions.amount", name.unit, kind=found.kind, ingredient=found.name
        )
    return ColumnPlan(heading, "notes")


def _by_concept(heading: str, name: Name, look: _Look) -> ColumnPlan:
    concept = name.concept or ""
    if concept in ("batch_id", "date", "day", "notes", "alcohol"):
        is_date = concept == "day" and look.days >= 0.5
        return ColumnPlan(heading, "date" if is_date else concept)
    if concept in _INGREDIENT_NAMES:
        return _addition(heading, name, look)
    if concept in _STEP_RULES:
        return _STEP_RULES[concept](heading, name, look)
    if concept in ("gravity", "gravity_start", "gravity_end"):
        when = concept.partition("_")[2]
        unit = "" if name.unit == "SG" else name.unit
        return ColumnPlan(heading, "readings.gravity", unit, when=when)
    for file, columns in (
        ("batches", _BATCH_COLUMNS),
        ("tastings", _TASTING_COLUMNS),
        ("additions", (*_ADDITION_COLUMNS, "removed_on")),
        ("readings", (*_READING_COLUMNS, "instrument", "volume")),
    ):
        if concept in columns:
            return ColumnPlan(heading, f"{file}.{concept}", name.unit, basis=name.basis)
    return ColumnPlan(heading, "notes")


def _addition(heading: str, name: Name, look: _Look) -> ColumnPlan:
    """Return the plan of a column about one kind of thing: its amounts, or its names."""
    kind = name.concept or ""
    unit = find_unit(name.unit)
    if unit is not None and unit.dimension in ("concentration", "percent"):
        return ColumnPlan(heading, _PER_LITRE.get(kind, "notes"), name.unit, basis=name.basis)
    has_amounts = look.numbers >= 0.5
    if kind == "yeast" and not (has_amounts and name.unit):
        return ColumnPlan(heading, "batches.yeast")
    if has_amounts or name.unit:
        found = identify(name.words)
        own = found.name if found.kind == kind and not found.is_open else ""
        ingredient = own or _INGREDIENT_NAMES[kind]
        return ColumnPlan(heading, "additions.amount", name.unit, kind=kind, ingredient=ingredient)
    return ColumnPlan(heading, "additions.ingredient", kind=kind)


def _moved(heading: str, name: Name, look: _Look) -> ColumnPlan:
    """Return the plan of `Bottled`, `Racked`: a day, or how much there was afterwards."""
    step = _STEPS[(name.concept or "").partition("_")[0]]
    if look.days < 0.5 and (look.numbers >= 0.5 or name.unit):
        if step == "bottle" and not name.unit:
            return ColumnPlan(heading, "transfers.bottles", step=step)
        return ColumnPlan(heading, "transfers.volume_after", name.unit, step=step)
    return ColumnPlan(heading, "transfers.moved_on", step=step)


def _volume_after(heading: str, name: Name, _look: _Look) -> ColumnPlan:
    step = _STEPS.get((name.concept or "").partition("_")[0], "bottle")
    return ColumnPlan(heading, "transfers.volume_after", name.unit, step=step)


def _bottles(heading: str, _name: Name, _look: _Look) -> ColumnPlan:
    return ColumnPlan(heading, "transfers.bottles", step="bottle")


def _topped_up(heading: str, name: Name, _look: _Look) -> ColumnPlan:
    return ColumnPlan(heading, "transfers.topped_up", name.unit, step="rack")


_STEP_RULES: dict[str, Callable[[str, Name, _Look], ColumnPlan]] = {
    "strained_on": _moved,
    "racked_on": _moved,
    "bottled_on": _moved,
    "finished": _volume_after,
    "strained_volume": _volume_after,
    "racked_volume": _volume_after,
    "bottles": _bottles,
    "topped_up": _topped_up,
}


def _with_kind_of_names(plans: list[ColumnPlan]) -> list[ColumnPlan]:
    """Let a `Weight` beside a column of fruit be the fruit's, where no other names stand there."""
    kinds = {plan.kind for plan in plans if plan.to == "additions.ingredient"}
    if len(kinds) != 1 or "" in kinds or any(plan.to == "additions.unit" for plan in plans):
        return plans
    (kind,) = kinds
    if any(plan.to == "additions.amount" and plan.kind == kind for plan in plans):
        return plans
    return [
        plan._replace(kind=kind) if plan.to == "additions.amount" and not plan.kind else plan
        for plan in plans
    ]


def _each_once(plans: Sequence[ColumnPlan]) -> list[ColumnPlan]:
    """Keep the first of two columns that would be the same; the later one goes to the notes."""
    seen: set[ColumnPlan] = set()
    kept = []
    for plan in plans:
        key = plan._replace(heading="", unit="", basis="")
        is_repeatable = plan.to == "notes" or (plan.file == "additions" and bool(plan.kind))
        kept.append(
            ColumnPlan(plan.heading, "notes") if key in seen and not is_repeatable else plan
        )
        seen.add(key)
    return kept
