"""The two arms of a split batch: every thing of a recipe that could be tried both ways.

One thing differs between the arms, by about the step that `hedgerow harsh` states its effect for,
at a level the logbook has seen where there is a choice of levels. What could spoil a batch (no
sulphite, too little acid) is never an arm, nor is what cannot be divided (the fruit, its ripeness).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import polars as pl

from pipeline.advice.edits import Edit
from pipeline.advice.own_units import days
from pipeline.advice.trial.doses import (
    acid_splits,
    enzyme_splits,
    load_splits,
    nutrient_splits,
    sugar_splits,
    tannin_splits,
)
from pipeline.advice.trial.plan import Planned, Split

# Days and degrees as a maker counts them; the steps are those of `hedgerow harsh`.
DAYS_OUT = (3.0, 5.0, 7.0, 10.0, 14.0, 21.0)
DAYS_STEP, FEWEST_DAYS = 5.0, 2.0
TEMPERATURES_C = (16.0, 18.0, 20.0, 22.0, 25.0)
WARMTH_STEP_C, LEAST_WARMTH_C = 5.0, 3.0
SWEETER_G_L = 10.0
SWEET_G_L = 30.0  # from which nobody sweetens further; common practice, no source
FORMS = {"whole": "crushed", "sliced": "crushed", "crushed": "sliced", "pureed": "sliced"}


def possible_splits(planned: Planned) -> list[Split]:
    """Return every split of a recipe, several of one factor where there are several levels."""
    ways: tuple[Callable[[Planned], Iterator[Split]], ...] = (
        *(_skins, _days, load_splits, _freezing, _crushing, enzyme_splits),
        *(tannin_splits, acid_splits, nutrient_splits, sugar_splits),
        *(_yeasts, _warmth, _sweetness),
    )
    return [split for way in ways for split in way(planned)]


def _set(line: dict[str, Any], field: str, before: str, after: str, **cells: Any) -> Edit:
    return Edit(line["line"], "fruit", line["ingredient"], field, before, after, cells=cells)


def _skins(planned: Planned) -> Iterator[Split]:
    fruit = planned.fruit
    if not fruit or (fruit[0]["skins"] is None and not _has_skins_said(planned)):
        return
    now = fruit[0]["skins"]
    here, there = (now, "off" if now == "on" else "on") if now else ("on", "off")
    alike = [line for line in fruit if line["skins"] == now]

    def all_to(way: str) -> tuple[Edit, ...]:
        return tuple(_set(line, "skins", now or "", way, skins=way) for line in alike)

    base = () if now else all_to(here)
    yield Split("skins", "fruit", (f"skins {here}", f"skins {there}"), base, all_to(there))


def _has_skins_said(planned: Planned) -> bool:
    """Tell whether this fruit ever had its skins noted: flowers have none to speak of."""
    key = planned.fruit[0]["ingredient_key"]
    same = planned.additions.filter(pl.col("ingredient_key") == key)
    return same["skins"].drop_nulls().len() > 0


def _days(planned: Planned) -> Iterator[Split]:
    fruit = planned.fruit
    if not fruit:
        return
    start, out = fruit[0]["day"], fruit[0]["removed_day"]
    now = planned.usual.get("contact_days") if out is None else out - start
    if now is None:
        return
    now = float(round(now)) if out is None else now
    seen = [days for days in DAYS_OUT if planned.experience.has("contact_days", days)]
    alike = [line for line in fruit if line["removed_day"] == out]

    def all_after(count: float) -> tuple[Edit, ...]:
        return tuple(_out_after(line, count) for line in alike)

    base = () if out is not None else all_after(now)
    for there in _a_step_away(now, seen or list(DAYS_OUT), DAYS_STEP, FEWEST_DAYS):
        labels = (f"{days(now)} on the fruit", f"{days(there)} on the fruit")
        yield Split("contact_days", "fruit", labels, base, all_after(there))


def _out_after(line: dict[str, Any], days: float) -> Edit:
    before = "" if line["removed_day"] is None else f"{line['removed_day']:g}"
    day = line["day"] + days
    return Edit(
        line["line"],
        "fruit",
        line["ingredient"],
        "removed_day",
        before,
        f"{day:g}",
        day,
        {"removed_day": day},
    )


def _a_step_away(now: float, levels: Sequence[float], step: float, least: float) -> list[float]:
    """Return the level about one step below, and the one about one step above."""
    sides = (
        [level for level in levels if now - level >= least],
        [level for level in levels if level - now >= least],
    )
    return [min(far, key=lambda level: abs(abs(level - now) - step)) for far in sides if far]


def _freezing(planned: Planned) -> Iterator[Split]:
    alike = [line for line in planned.fruit if line["form"] in FORMS]
    if not alike:
        return
    now = bool(alike[0]["is_frozen"])
    edits = tuple(
        _form(line, line["form"], is_frozen=not now)
        for line in alike
        if bool(line["is_frozen"]) == now
    )
    labels = ("frozen fruit", "fresh fruit") if now else ("fresh fruit", "frozen fruit")
    yield Split("freezing", "fruit", labels, (), edits)


def _crushing(planned: Planned) -> Iterator[Split]:
    alike = [line for line in planned.fruit if line["form"] in FORMS]
    if not alike:
        return
    now, there = alike[0]["form"], FORMS[alike[0]["form"]]
    edits = tuple(
        _form(line, there, is_frozen=bool(line["is_frozen"]))
        for line in alike
        if line["form"] == now
    )
    yield Split("crushing", "fruit", (f"the fruit {now}", f"the fruit {there}"), (), edits)


def _form(line: dict[str, Any], form: str, *, is_frozen: bool) -> Edit:
    before, after = (
        f"{name} frozen" if cold else name
        for name, cold in ((line["form"], line["is_frozen"]), (form, is_frozen))
    )
    return _set(line, "form", before, after, form=form, is_frozen=is_frozen)


def _yeasts(planned: Planned) -> Iterator[Split]:
    now, known = planned.whole("yeast"), planned.experience.yeasts
    here = now or (known[0] if known else None)
    if here is None:
        return
    base = () if now else (_whole("yeast", "yeast", "", here, None, yeast=here),)
    for there in known:
        if there.casefold() != here.casefold():
            edit = _whole("yeast", "yeast", now or "", there, None, yeast=there)
            labels = (f"the yeast {here}", f"the yeast {there}")
            yield Split("yeast", "must", labels, base, (edit,))


def _whole(kind: str, field: str, before: str, after: str, si: float | None, **cells: Any) -> Edit:
    return Edit(None, kind, None, field, before, after, si, cells)


def _warmth(planned: Planned) -> Iterator[Split]:
    said = planned.whole("ferment_temperature_c")
    now = planned.usual.get("must_temperature_mean_c") if said is None else said
    if now is None:
        return
    now = float(round(now)) if said is None else now
    seen = [c for c in TEMPERATURES_C if planned.experience.has("must_temperature_mean_c", c)]

    def at(degrees: float) -> tuple[Edit, ...]:
        before = "" if said is None else f"{said:.3g} C"
        field, cells = "ferment_temperature", {"ferment_temperature_c": degrees}
        return (_whole("recipe", field, before, f"{degrees:g} C", degrees, **cells),)

    base = () if said is not None else at(now)
    for there in _a_step_away(now, seen, WARMTH_STEP_C, LEAST_WARMTH_C):
        labels = (f"a ferment at {now:.0f} °C", f"a ferment at {there:g} °C")
        yield Split("must_temperature", "place", labels, base, at(there))


def _sweetness(planned: Planned) -> Iterator[Split]:
    said = planned.whole("sweeten_to_g_l")
    if max(said or 0.0, planned.sugar_g_l) > SWEET_G_L:
        return
    # Sugar is stirred in by fives, to what a taster notices beside the wine as it is.
    there = 5.0 * round((max(said or 0.0, planned.sugar_g_l) + SWEETER_G_L) / 5.0)
    before = "" if said is None else f"{said:g} g/L"
    edit = _whole("recipe", "sweeten_to", before, f"{there:g} g/L", there, sweeten_to_g_l=there)
    here = f"sugar up to {said:g} g/L" if said else "its own sugar"
    yield Split("residual_sugar", "glass", (here, f"sugar up to {there:g} g/L"), (), (edit,))
