"""What comes of blending wines, in sentences and as a table."""

from pipeline.show.listing import Listing
from pipeline.show.measured import liquid, millilitres
from pipeline.show.measures import joined
from pipeline.show.units import Units

_SAID = {"alcohol": "of strength", "acidity": "of acid", "sugar": "of sugar"}


def blend_sentence(blend: dict, units: Units) -> str:
    """Say the parts of the blend and how near it comes."""
    used = _used(blend)
    missed = [target for target in blend["targets"] if not target["is_reached"]]
    got = joined(
        [f"{one['reached']:.1f} {one['unit']} {_SAID[one['name']]}" for one in blend["targets"]]
    )
    if len(used) == 1:
        return _one_wine(used[0]["batch"], got, missed, len(blend["targets"]))
    parts = joined(
        [
            f"{liquid(part['volume_l'], units)} of {part['batch']} ({part['share']:.0%})"
            for part in used
        ]
    )
    end = f" It misses {joined([_missed(one) for one in missed])}; no other shares come nearer."
    return f"{parts} make {liquid(blend['volume_l'], units)} with {got}.{end if missed else ''}"


def _one_wine(batch: str, got: str, missed: list[dict], targets: int) -> str:
    """Say that one wine by itself is as near as it gets: there is nothing to blend."""
    if not missed:
        return f"Nothing to blend: {batch} by itself has {got}, which is what was asked for."
    first = missed[0]
    none = (
        f": none of these wines has as {'much' if first['reached'] < first['wanted'] else 'little'}"
    )
    return (
        f"Nothing to blend: {batch} by itself, with {got}, comes nearer than any blend of these to "
        f"{joined([_missed(one) for one in missed])}{none if targets == 1 else ''}."
    )


def is_mixed(blend: dict) -> bool:
    """Tell whether more than one wine goes in, so that its parts are worth a table."""
    return len(_used(blend)) > 1


def _used(blend: dict) -> list[dict]:
    return [part for part in blend["parts"] if part["share"]]


def _missed(target: dict) -> str:
    return f"the {target['wanted']:g} {target['unit']} {_SAID[target['name']]} asked for"


def blend_listing(blend: dict, units: Units) -> Listing:
    """One row per wine of the blend."""
    rows = [
        (
            part["batch"],
            f"{part['share']:.0%}",
            liquid(part["volume_l"], units),
            millilitres(part["glass_ml"]),
            liquid(part["left_l"], units),
        )
        for part in blend["parts"]
    ]
    return Listing(("wine", "share", "for the blend", "for a glass of 100 mL", "left over"), rows)
