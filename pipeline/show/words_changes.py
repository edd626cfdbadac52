"""A change to a recipe, as somebody would say it in the kitchen."""

import re

# What concerns no single line.
_WHOLE_RECIPE = {
    "sweeten_to": "sweeten the finished wine to {to}",
    "ferment_temperature": "ferment at {to}",
    "target_volume": "put it together for {to}",
}
_SKINS = {"on": "leave the skins of the {thing} on", "off": "take the skins off the {thing}"}
_SPELT = {"dap": "DAP", "co2": "CO2"}


def change_phrase(change: dict) -> str:
    """Say one change as an instruction.

    Parameters
    ----------
    change : dict
        ``kind``, ``ingredient``, ``field``, ``from`` and ``to``, as answers have them.
    """
    field, after = change["field"], change["to"] or ""
    if change["kind"] == "recipe":
        if field == "sweeten_to" and re.match(r"0\b", after):
            return "do not sweeten the finished wine"
        return _WHOLE_RECIPE[field].format(to=after) + _not_as_before(change)
    if field == "yeast":
        return f"ferment with {after}" + _not_as_before(change)
    if field == "skins":
        return _SKINS[after].format(thing=thing(change))
    if field == "removed_day":
        return f"take the {thing(change)} out on day {after}" + _not_as_before(change)
    if field == "form":
        return _form(change)
    return _amount(change)


def _not_as_before(change: dict) -> str:
    return f", not {_before(change)}" if change["from"] else ""


def _before(change: dict) -> str:
    return f"day {change['from']}" if change["field"] == "removed_day" else change["from"]


def _form(change: dict) -> str:
    """Say how fruit is to be cut, or whether frozen first."""
    (cut, frozen), (was, was_frozen) = (_parts(change[end] or "") for end in ("to", "from"))
    parts = [f"use {cut}, not {was}"] if cut != was else []
    if frozen != was_frozen:
        parts.append("freeze first" if frozen else "use fresh, not frozen")
    return f"{thing(change)}: {' and '.join(parts)}"


def _parts(form: str) -> tuple[str, bool]:
    words = form.split()
    return " ".join(word for word in words if word != "frozen"), "frozen" in words


def _amount(change: dict) -> str:
    before, after = change["from"], change["to"]
    if not before:
        return f"add {after} of {thing(change)}"
    if not after:
        return f"leave out the {thing(change)} ({before})"
    if after.startswith("to "):
        return f"make it up with water {after}, not {before}"
    return f"take {after} of {thing(change)}, not {before}"


def thing(change: dict) -> str:
    """Return what a change is about: the ingredient as the maker calls it."""
    name = change["ingredient"] or (change["kind"] or "").replace("_", " ")
    return _SPELT.get(name, name)
