"""The bench: doses for a finished wine from that batch's own readings.

Every answer is for the wine as it was last read. Take one step, wait, read again: two doses
worked out from the same reading do not add up.
"""

from dataclasses import replace
from datetime import date
from typing import Any

from pipeline.advice.bench.acid import to_acidity
from pipeline.advice.bench.blend import blend_wines, thin
from pipeline.advice.bench.readings import read_wine
from pipeline.advice.bench.stabilise import sorbate, stabilising_doubts, sulphite
from pipeline.advice.bench.sweetening import LADDER_G_L, sweeten, to_gravity
from pipeline.advice.bench.troubles import find_troubles
from pipeline.advice.bench.wine import Reading, Refusal, Wine
from pipeline.advice.bench.wishes import Wishes
from pipeline.advice.cautions import cautions_due
from pipeline.advice.cautions.circumstances import Circumstances
from pipeline.advice.cautions.circumstances_batch import circumstances_of_batches
from pipeline.advice.cautions.shelf import OF_THE_FRUIT
from pipeline.advice.cautions.table import HOT
from pipeline.cellar import Cellar
from pipeline.errors import CannotSayError, HedgerowError

Section = dict[str, Any] | Refusal


def answer(cellar: Cellar, batch_id: str, wishes: Wishes | None = None) -> dict[str, Any]:
    """Answer what can be done with a wine now.

    Parameters
    ----------
    cellar : Cellar
    batch_id : str
    wishes : Wishes, optional
        Targets; without any, the ladder of sweetened glasses and what would keep the wine.

    Returns
    -------
    dict
        ``batch``, ``name``, ``state``, ``readings``, ``blended_with``, the sections `sweeten`,
        `gravity`, `sulphite`, `sorbate`, `acidity`, `alcohol`, `blend` (null where not
        asked or refused), ``troubles``, ``refused``, ``doubts``, ``cautions``, ``next_step``.

    Raises
    ------
    UnknownNameError
        If the logbook has no such batch.
    CannotSayError
        If the batch was lost.
    HedgerowError
        If a blend names one batch twice.
    """
    asked = wishes or Wishes()
    if len({batch_id, *asked.blend}) <= len(asked.blend):
        raise HedgerowError(f"--blend must name other batches than {batch_id}, each once.")
    wine = read_wine(cellar, batch_id, None if asked.blend else asked.volume_l)
    if asked.titrated_g_l is not None:
        just_now = Reading(asked.titrated_g_l, date.today(), "--titrated", 0)
        wine = replace(wine, acidity=just_now)
    if wine.state == "lost":
        raise CannotSayError(f"{batch_id} is logged as lost: there is no wine to treat.")
    others = [read_wine(cellar, other) for other in asked.blend]
    sections = _sections(wine, others, asked)
    refused = [part for part in sections.values() if isinstance(part, Refusal)]
    given = {
        name: None if isinstance(part, Refusal) else part
        for name, part in {**dict.fromkeys(SECTIONS), **sections}.items()
    }
    return {
        "batch": batch_id,
        "name": wine.name,
        "state": wine.state,
        "readings": _readings(wine),
        "blended_with": [
            {"batch": other.batch_id, "readings": _readings(other)} for other in others
        ],
        **given,
        "troubles": find_troubles(cellar, wine),
        "refused": [refusal.as_dict() for refusal in refused],
        "doubts": [doubt.as_dict() for doubt in _doubts(wine, others, given)],
        "cautions": [
            caution.as_dict()
            for caution in cautions_due(_circumstances(cellar, [wine, *others], asked, given))
            if wine.state == "fermenting" or caution.trigger not in OF_THE_FRUIT
        ],
        "next_step": _next_step(given, refused),
    }


SECTIONS = ("sweeten", "gravity", "sulphite", "sorbate", "acidity", "alcohol", "blend")


def _sections(wine: Wine, others: list[Wine], asked: Wishes) -> dict[str, Section]:
    if others:
        return {"blend": blend_wines([wine, *others], asked.blend_targets(), asked.volume_l)}
    found: dict[str, Section] = {}
    if asked.gravity is not None:
        found["gravity"] = to_gravity(wine, asked.gravity)
    if asked.acidity_g_l is not None:
        found["acidity"] = to_acidity(wine, asked.acidity_g_l)
    if asked.alcohol_percent is not None:
        found["alcohol"] = thin(wine, asked.alcohol_percent)
    if not found or asked.sugar_g_l is not None:
        found["sweeten"] = sweeten(wine, asked.sugar_g_l)
    if _sweetens(found):
        # A sweetened wine that was not made safe is the one thing that must not leave the bench.
        found["sulphite"] = sulphite(wine)
        found["sorbate"] = sorbate(wine, found["sulphite"])
    return found


def _sweetens(found: dict[str, Section]) -> bool:
    gravity = found.get("gravity")
    return "sweeten" in found or (isinstance(gravity, dict) and gravity["add"] == "sugar")


def _readings(wine: Wine) -> dict[str, Any]:
    def shown(reading: Reading | None) -> dict[str, Any] | None:
        return None if reading is None else reading.as_dict()

    return {
        "volume_l": shown(wine.volume),
        "gravity": shown(wine.gravity),
        "alcohol_percent": None if wine.alcohol is None else wine.alcohol.as_dict(),
        "residual_sugar_g_l": None if wine.sugar is None else wine.sugar.as_dict(),
        "ph": shown(wine.ph),
        "acidity_g_l": shown(wine.acidity),
        "free_so2_mg_l": shown(wine.free_so2),
        "so2_added_mg_l": wine.so2_added_mg_l,
        "sorbic_added_mg_l": wine.sorbic_added_mg_l,
    }


def _doubts(wine: Wine, others: list[Wine], given: dict[str, Any]) -> list[Any]:
    found = [doubt for one in (wine, *others) for doubt in one.doubts]
    if given["sulphite"] or given["sorbate"]:
        found += stabilising_doubts(wine)
    return found


def _circumstances(
    cellar: Cellar, wines: list[Wine], asked: Wishes, given: dict[str, Any]
) -> Circumstances:
    wine = wines[0]
    own = circumstances_of_batches(cellar, [one.batch_id for one in wines])
    added = {kind for one in own.values() for kind in one.kinds}
    advised = {name for name in ("sulphite", "sorbate") if given[name]}
    sweet = max(one.sugar.value if one.sugar else 0.0 for one in wines)
    is_sweetened = bool(given["sweeten"]) or bool(given["gravity"])
    steps = {"drink"}
    if asked.acidity_g_l is not None or asked.titrated_g_l is not None:
        steps.add("titrate")
    if wine.state == "fermenting":
        steps.add("ferment")
    if given["blend"] or given["alcohol"] or given["sweeten"]:
        steps |= {"jar"}
    unheated = {f for one in own.values() if one.extraction not in HOT for f in one.fruits}
    return Circumstances(
        # Of what went in, what is still in the glass.
        fruits=unheated,
        has_stone_fruit=any(one.has_stone_fruit for one in own.values()),
        kinds=advised | ({"fining", "sulphite", "sorbate"} & added),
        is_unkept=any(one.is_unkept for one in own.values()),
        sugar_g_l=sweet + LADDER_G_L[-1] if is_sweetened else sweet,
        ph=None if wine.ph is None else wine.ph.value,
        wanted_alcohol=asked.alcohol_percent,
        faults=frozenset[str]().union(*(one.faults for one in wines)),
        steps=steps,
    )


def _next_step(given: dict[str, Any], refused: list[Refusal]) -> str:
    if refused and not any(given.values()):
        return refused[0].next_step
    if given["blend"]:
        if sum(part["share"] > 0 for part in given["blend"]["parts"]) == 1:
            if all(target["is_reached"] for target in given["blend"]["targets"]):
                return "Leave them apart, or aim at something that none of them has."
            return "Leave them apart, aim nearer, or name another wine with --blend."
        return (
            "Mix one glass in these parts, taste it beside each wine, and only then mix the rest. "
            "Measure the pH of the blend: it cannot be worked out."
        )
    if given["sweeten"]:
        return (
            "Taste the ladder first and let somebody else pour it. Then stabilise, wait a day, "
            "sweeten, wait a fortnight, and read the gravity again before you bottle."
            if not refused
            else f"Taste the ladder; do not sweeten the batch yet. {refused[0].next_step}"
        )
    if sum(bool(given[name]) for name in ("gravity", "acidity", "alcohol")) > 1:
        return (
            "Do one of these, wait a day and read the wine again: each was worked out for the wine "
            "as it is now, and they do not add up."
        )
    return "Try it in one glass, taste it the next day, then treat the batch and read it again."
