"""What the trade says about each factor of harshness: rules of thumb, kept apart from the evidence.

All of it is common practice, without a source. It stands beside what the logbook shows and is never
mixed into it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Practice:
    """The trade's rule, and what can be done about a wine now and next time."""

    rule: str
    now: tuple[str, ...] = ()
    next_time: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """Return the rule, marked as what it is."""
        return f"common practice, no source: {self.rule}"


FINE = (
    "try gelatine or egg white (both allergens) on a measured glass, and fine the rest only if the "
    "glass is better"
)
SWEETENED_BY_G_L = 10.0  # [g/L] one step of it
SWEETEN = (
    f"stir sugar into a measured glass, {SWEETENED_BY_G_L:.0f} g/L at a time; before sweetening "
    "the rest, stabilise it: sugar in wine that can ferment again bursts bottles"
)
_WAIT = "leave it: open a bottle every few months and log how it tastes"
_BLEND = "blend a measured glass with a softer wine and taste before blending more"

PRACTICE = {
    "fruit": Practice(
        "sloes, elderberries, rose hips and quinces taste rougher than soft fruit",
        (_WAIT, FINE),
        ("use part of it with a softer fruit, or less of it to the litre",),
    ),
    "fruit_load": Practice(
        "more tannic fruit to the litre makes a rougher wine that needs longer to soften",
        (_BLEND, _WAIT),
        ("use less fruit to the litre, or strain sooner",),
    ),
    "enzyme": Practice(
        "pectic enzyme opens the skins: more colour, and with long contact more tannin",
        (),
        ("with enzyme, strain a few days sooner",),
    ),
    "freezing": Practice(
        "freezing bursts the fruit, so that it gives juice and tannin sooner",
        (),
        ("with thawed fruit, strain a few days sooner",),
    ),
    "skins": Practice(
        "skins, pips and stalks are where the tannin is",
        (FINE, SWEETEN),
        (
            "take the skins off, or part of them",
            "split one lot of fruit: half with skins, half without, all else alike",
        ),
    ),
    "contact_days": Practice(
        "tannin comes out faster once there is alcohol; most soft fruit is strained in five to ten "
        "days",
        (FINE, _WAIT),
        ("strain sooner: taste the must each day from the fifth",),
    ),
    "tannin_added": Practice(
        "0.05 to 0.2 g/L of tannin powder is plenty; fruit with skins needs none",
        (FINE, _BLEND),
        ("leave the tannin out, or weigh half as much", "weigh it: spoons differ by a third"),
    ),
    "acidity": Practice(
        "most country wine is balanced at 5.5 to 7 g/L as tartaric; sharp acid makes tannin bite",
        # By equivalents: 100.1 g of bicarbonate takes off 75.0 g of acid reckoned as tartaric.
        (
            SWEETEN,
            "try potassium bicarbonate on a measured glass: 0.67 g/L takes off about 0.5 g/L",
        ),
        ("measure the acidity of the must before adding acid",),
    ),
    "alcohol": Practice(
        "above about 14 % vol spirit burns unless body and sweetness carry it",
        (_BLEND, SWEETEN),
        ("aim at 11 to 12.5 % vol: less sugar to the litre",),
    ),
    "residual_sugar": Practice(
        "the drier the wine, the more its acid and tannin show",
        (SWEETEN,),
        ("plan the sweetness: taste the finished wine dry and at 10 and 20 g/L",),
    ),
    "must_temperature": Practice(
        "most country wine is fermented at 16 to 22 °C; warmer turns rough and hot",
        (_WAIT,),
        ("keep the must under 22 °C, and log its temperature for the first ten days",),
    ),
    "nitrogen_shortfall": Practice(
        "a starved yeast makes bitter and sulphury notes, above all in honey, flower and root wine",
        ("smell it: if it smells of eggs or struck matches, rack it with some splashing",),
        ("give yeast nutrient by weight, half at the start and half two days later",),
    ),
    "age": Practice(
        "tannic and strong wine is rough when young: nine months to two years soften it",
        (_WAIT,),
        ("taste and judge later; log the date",),
    ),
    "sulphite": Practice(
        "a tablet at every racking is often more than is needed, and too much prickles",
        ("let a glass stand open for an hour and taste it again",),
        ("measure free sulphite and pH before adding more",),
    ),
    "ripeness": Practice(
        "unripe fruit and green stalks taste sharp, bitter and green",
        (SWEETEN, _WAIT),
        ("sort out what is not ripe",),
    ),
    "yeast": Practice(
        "strains differ a little in bitterness and in how much they soften acid",
        (),
        ("split one must between two yeasts",),
    ),
    "taster": Practice(
        "tasters differ more than wines: compare glasses marked by the same people",
        ("let the others taste it too",),
        ("taste blind, everyone every wine",),
    ),
    "crushing": Practice(
        "crushed pips and stones are bitter, and stones can give cyanide",
        (FINE,),
        ("slice or thaw the fruit instead of crushing it, and leave stones whole",),
    ),
}
