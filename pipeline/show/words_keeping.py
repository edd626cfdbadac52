"""What keeps a wine, in sentences: sulphite and sorbate, each with its reason and its ceiling."""

from pipeline.show.measured import dose


def keeping_lines(data: dict) -> list[str]:
    """Say what keeps the wine: sulphite and sorbate, each with its reason and limit."""
    lines = []
    if data["sulphite"]:
        lines += _sulphite_lines(data["sulphite"])
    if data["sorbate"]:
        lines += _sorbate_lines(data["sorbate"])
    return lines


def _sulphite_lines(found: dict) -> list[str]:
    why = (
        f"at pH {found['ph']:.2f} it takes {found['free_needed_mg_l']:.0f} mg/L free to protect it"
    )
    if not found["rise_mg_l"]:
        return [f"No sulphite: {why}, and it has {found['free_now_mg_l']:.0f}."]
    most = ", and no more: what is in it now is not known" if found["is_most"] else ""
    total = found["total_added_after_mg_l"]
    so_far = "" if total is None else f" With what went in before that is {total:.0f} mg/L in all."
    return [
        f"Potassium metabisulphite: {dose(found['dose'])}{most}. Because {why}.{so_far} Ceiling: "
        f"{found['limits'][0]}."
    ]


def _sorbate_lines(found: dict) -> list[str]:
    if not found["rise_mg_l"]:
        return ["No more sorbate: what is in it already is enough."]
    short = "" if found["is_enough"] else f" Even so it may not hold. {found['if_not_enough']}"
    return [
        f"Potassium sorbate, only if you sweeten and only with the sulphite: "
        f"{dose(found['dose'])}. Ceiling: {found['limits'][0]}.{short}"
    ]
