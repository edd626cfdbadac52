"""What the bench answers, in sentences and as tables; the terminal and the page share them."""

from pipeline.show.listing import Listing
from pipeline.show.measured import dose, grams, liquid, millilitres, sugar
from pipeline.show.measures import capital, joined, measure_of
from pipeline.show.units import NOT_KNOWN, Units, alcohol, gravity, number
from pipeline.show.words_blend import blend_sentence

_POWDERS = {
    "potassium metabisulfite": "potassium metabisulphite",
    "sugar, granulated": "sugar",
    "citric acid (anhydrous)": "citric acid",
    "malic acid (DL)": "malic acid",
}
_QUESTIONS = {
    "sweeten": "Sweetening",
    "gravity": "The gravity",
    "sulphite": "Sulphite",
    "sorbate": "Sorbate",
    "acidity": "Acid",
    "alcohol": "Strength",
    "blend": "The blend",
}


def powder_name(additive: str) -> str:
    """Return an additive's name as people say it."""
    return _POWDERS.get(additive, additive)


def bench_answers(data: dict, units: Units) -> list[str]:
    """Say what was asked of the wine, one sentence each."""
    batch = data["batch"]
    sentences = []
    if data["blend"]:
        sentences.append(blend_sentence(data["blend"], units))
    if data["gravity"]:
        sentences.append(gravity_sentence(batch, data["gravity"], units))
    if data["alcohol"]:
        sentences.append(thin_sentence(batch, data["alcohol"], units))
    if data["acidity"]:
        sentences.append(acid_sentence(batch, data["acidity"]))
    if data["sweeten"] and data["sweeten"]["dose"]:
        sentences.append(sweeten_sentence(batch, data["sweeten"], units))
    elif data["sweeten"]:
        sentences.append(f"{batch}: taste it sweetened in five glasses before you dose the batch.")
    return sentences or [f"{batch}: no dose can be given yet; what is missing stands below."]


def reading_lines(data: dict, units: Units) -> list[str]:
    """Say what the answer rests on: each reading, its day and its line."""
    lines = _readings(data["readings"], units)
    for other in data["blended_with"]:
        lines += [f"{other['batch']}: {line}" for line in _readings(other["readings"], units)]
    return lines


def _readings(readings: dict, units: Units) -> list[str]:
    writers = {
        "volume_l": lambda value: liquid(value, units),
        "gravity": lambda value: f"gravity {gravity(value)}",
        "ph": lambda value: f"pH {number(value, 2)}",
        "acidity_g_l": lambda value: f"acidity {number(value, 1)} g/L as tartaric",
        "free_so2_mg_l": lambda value: f"free sulphite {number(value, 0)} mg/L",
    }
    lines = []
    for key, write in writers.items():
        if reading := readings[key]:
            where = f"on {reading['taken_on']} ({reading['file']} line {reading['line']})"
            lines.append(
                f"{write(reading['value'])} {where if reading['line'] else '(as you said)'}"
            )
    for key, name in (("alcohol_percent", "alcohol"), ("residual_sugar_g_l", "residual_sugar")):
        if readings[key]:
            measure = measure_of(name, units)
            lines.append(f"{measure.name} {measure.full(readings[key])}, worked out")
    return lines


def ladder_listing(sweetened: dict, units: Units) -> Listing:
    """One row per glass: what to put in it, and what it means for the whole wine."""
    glass = millilitres(1000 * sweetened["glass_l"])
    rows = [
        (
            f"{index}",
            NOT_KNOWN if not rung["glass_syrup_ml"] else millilitres(rung["glass_syrup_ml"]),
            number(rung["sugar_after_g_l"], 0, " g/L"),
            sugar(rung["batch_sugar_kg"], units) if rung["batch_sugar_kg"] else NOT_KNOWN,
            liquid(rung["volume_after_l"], units),
            gravity(rung["gravity_after"]),
        )
        for index, rung in enumerate(sweetened["ladder"], start=1)
    ]
    headings = (
        "glass",
        f"syrup to {glass} of wine",
        "sugar then",
        "sugar for all of it",
        "makes",
        "will read",
    )
    return Listing(headings, rows)


def sweeten_sentence(batch: str, sweetened: dict, units: Units) -> str:
    """Say how much sugar brings the wine to the target, and what it is then."""
    wanted = sweetened["dose"]
    estimate = wanted["grams"]
    least, most = (f"{estimate[end]:.0f} g" for end in ("low", "high"))
    needed = (
        f"{sugar(estimate['value'] / 1000, units)} of sugar (between {least} and {most}, because "
        "what it holds now is not known better)"
    )
    return (
        f"{batch} needs about {needed} for {sweetened['target_sugar_g_l']:g} g/L; that makes "
        f"{liquid(wanted['volume_after_l'], units)}, reading {gravity(wanted['gravity_after'])}, "
        f"of {alcohol(wanted['alcohol_after_percent'])}."
    )


def gravity_sentence(batch: str, found: dict, units: Units) -> str:
    """Say what brings the wine to a gravity."""
    wanted, target = found["dose"], gravity(found["target_gravity"])
    if found["add"] == "water":
        return (
            f"{liquid(wanted['water_l']['value'], units)} of water brings {batch} to {target}; "
            f"that makes {liquid(wanted['volume_after_l'], units)}, and its strength, acid and "
            f"taste are {wanted['share_of_wine']:.0%} of what they were."
        )
    return (
        f"{sugar(wanted['grams']['value'] / 1000, units)} of sugar brings {batch} to {target}; "
        f"that makes {liquid(wanted['volume_after_l'], units)}."
    )


def thin_sentence(batch: str, found: dict, units: Units) -> str:
    """Say how much water brings the wine down to a strength."""
    return (
        f"{liquid(found['water_l']['value'], units)} of water brings {batch} from about "
        f"{alcohol(found['alcohol_now_percent']['value'])} to {alcohol(found['target_percent'])}; "
        f"acid and taste thin alike, to {found['share_of_wine']:.0%}. Try it first: "
        f"{millilitres(found['glass_water_ml'])} of water made up to 100 mL with wine."
    )


def acid_sentence(batch: str, found: dict) -> str:
    """Say what brings the wine to an acidity: one of several powders."""
    words = "Add" if found["change_g_l"] > 0 else "Take acid out with"
    names = joined([powder_name(choice["additive"]) for choice in found["choices"]], "or")
    first = (
        f" The amounts are for the first {abs(found['change_g_l']):g} g/L only; more at once "
        "spoils the taste. Measure again before the next step."
        if found["is_first_step_only"]
        else ""
    )
    return (
        f"{words} one of {names} to bring {batch} from {found['acidity_now_g_l']:.1f} to "
        f"{found['target_g_l']:.1f} g/L as tartaric.{first}"
    )


def acid_listing(found: dict) -> Listing:
    """One row per powder that would do it."""
    rows = [
        (
            powder_name(choice["additive"]),
            dose(choice),
            f"{millilitres(choice['glass_solution_10_percent_ml'])} of a 10 % solution"
            if choice["glass_solution_10_percent_ml"]
            else "not in a glass: it works too slowly",
            choice["when"] or NOT_KNOWN,
        )
        for choice in found["choices"]
    ]
    return Listing(
        ("powder", "for the batch", "for a glass of 100 mL", "when"),
        rows,
        left=("for the batch", "for a glass of 100 mL", "when"),
    )


def trouble_heading(trouble: dict) -> str:
    """Name a sign of trouble; what to do about it follows in this order."""
    return f"{capital(trouble['name'])}. What most makers do, in this order"


def limit_lines(data: dict) -> list[str]:
    """Say the ceilings for acid and water, each with the rule it comes from."""
    return [line for name in ("acidity", "alcohol") if data[name] for line in data[name]["limits"]]


def refusal_lines(data: dict) -> list[str]:
    """Say what cannot be answered, why, and what would let it be."""
    return [
        f"{_QUESTIONS[refusal['question']]}: {refusal['why']}. {refusal['next_step']}"
        for refusal in data["refused"]
    ]


def syrup_line(sweetened: dict) -> str:
    """Say how to make the syrup that the ladder is measured with."""
    return (
        f"Syrup: {grams(sweetened['syrup_g_per_100_ml'])} of sugar made up to 100 mL with boiled "
        "water, cooled; each millilitre holds half a gram."
    )
