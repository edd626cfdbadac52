"""The recipes of an invented wine circle, as its members wrote them in the club's book.

Nothing here is anyone's recipe: fruits, loads and days were made up so that the logbook looks like
one and holds the truths that README.md lists.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

STEADY = ("Lantern", "Hobnail", "Wherry", "Tollgate", "Dovecote", "Sexton")
ALL = (*STEADY, "Lantern", "Millrace", "Millrace")


@dataclass(frozen=True)
class Recipe:
    """One recipe of the club's book.

    ``pounds`` of fruit and of a second fruit; ``days`` are the contact days tried over the years,
    ``months`` when it is started, ``times`` how often it was made, ``aimed`` the strength [% vol].
    """

    name: str
    fruit: str
    pounds: float
    form: str
    skins: bool
    made: str
    days: tuple[int, ...]
    months: tuple[int, int]
    times: int
    frozen: bool = False
    second: tuple[str, float] = ("", 0.0)
    yeasts: tuple[str, ...] = ALL
    extraction: str = "cold"
    acid_tsp: float = 0.0
    tannin_tsp: float = 0.0
    enzyme: bool = True
    amylase: bool = False
    aimed: float = 12.2
    gallon: str = "imperial"
    pressed: str = "squeezed"


# name | fruit | pounds, form, skins | how the water is measured | days | months, times | the rest
_BOOK = """
Lane blackberry | blackberry | 4 crushed on | on_top | 5,6,7 | 8-9 x6 |
Blackberry to the mark | blackberry | 4.5 crushed on | to_mark | 6,7,8 | 8-9 x5 |
Freezer blackberry | blackberry | 3.5 crushed on | on_top | 4,5,10 | 11-1 x5 | frozen
Blackberry and apple | blackberry | 2.5 crushed on | measured | 6,8 | 9-9 x4 | with 2 apple
Bramble quick | blackberry | 3 pureed on | on_top | 3,4 | 9-9 x3 | frozen
Yard plum | plum | 4.5 sliced on | to_mark | 6,8,9 | 8-9 x5 |
Plum, full pour | plum | 4.5 sliced on | on_top | 6,7 | 8-9 x5 | hot
Plum skins off | plum | 4 sliced off | on_top | 6,7 | 9-9 x4 | acid 1
Greengage | greengage | 4.5 sliced on | on_top | 6,7 | 8-8 x2 |
First rhubarb | rhubarb | 4 sliced on | to_mark | 4,5,6 | 4-6 x6 |
Rhubarb from the freezer | rhubarb | 4.5 sliced on | to_mark | 4,5 | 7-10 x5 | frozen
Rhubarb and sultana | rhubarb | 3.5 sliced on | measured | 5,6 | 5-6 x3 | with 0.5 sultana
Banana, full pour | banana | 4.5 sliced off | on_top | 6,7,8 | 1-12 x6 | \
  simmered, acid 4, tannin 0.5, amylase
Banana to the mark | banana | 3.5 sliced off | to_mark | 6,7 | 1-12 x4 | \
  simmered, acid 3, tannin 0.5
Spotted banana | banana | 4 pureed off | on_top | 5,7 | 1-4 x4 | with 0.5 sultana, acid 3.5
Lane damson | damson | 4 whole on | to_mark | 5,18,6,20,16 | 9-10 x5 | hot, no enzyme
Damson, full pour | damson | 4.5 crushed on | on_top | 4,17,5,19,6 | 9-10 x5 |
Damson skins off | damson | 4 crushed off | on_top | 5,9,13 | 9-10 x4 |
Elderberry long | elderberry | 3.5 crushed on | on_top | 16,19,21 | 9-9 x5 | steady, hot
Elderberry short | elderberry | 3.5 crushed on | on_top | 3,4,3 | 9-9 x5 | hot
Elderberry juice only | elderberry | 3 crushed off | measured | 4,12,13 | 9-10 x4 | steamed
Orchard apple | apple | 6 sliced on | on_top | 6,8 | 9-11 x5 | tannin 0.25
Apple to the mark | apple | 5.5 crushed on | to_mark | 7,9 | 10-11 x4 | pressed
Orchard pear | pear | 5 sliced off | on_top | 6,7 | 9-10 x4 | acid 2
Pear to the mark | pear | 4.5 sliced on | to_mark | 7,8 | 9-10 x3 | acid 1.5
Green gooseberry | gooseberry | 4 crushed on | to_mark | 5,6 | 6-7 x6 |
Churchyard elderflower | elderflower | 0.25 whole off | on_top | 4,5 | 6-6 x6 | \
  acid 3.5, tannin 0.25, no enzyme, aimed 11.4
Winter parsnip | parsnip | 4 sliced off | on_top | 5,6 | 1-2 x4 | simmered, acid 4, tannin 0.5
Parsnip with amylase | parsnip | 4 sliced off | on_top | 5,6 | 1-2 x3 | \
  simmered, acid 4, tannin 0.5, amylase
Raspberry | raspberry | 3.5 crushed on | to_mark | 4,5 | 7-7 x5 | us
Strawberry | strawberry | 4 sliced on | measured | 4,5 | 6-7 x4 | acid 1, us
Quince | quince | 4 crushed on | on_top | 6,8 | 10-11 x3 | frozen
Blackcurrant | blackcurrant | 3 crushed on | on_top | 5,6 | 7-7 x2 |
Hedge sloe | sloe | 3 whole on | on_top | 20,21 | 10-11 x2 | frozen, steady
Morello corner | sour cherry | 4 whole on | on_top | 6,7 | 7-7 x1 |
Rose hip | rose hip | 2.5 crushed on | on_top | 7,8 | 10-11 x1 | hot
Redcurrant | redcurrant | 3 crushed on | on_top | 5,6 | 7-7 x1 |
Beetroot | beetroot | 4 sliced off | on_top | 5,6 | 10-11 x1 | simmered, acid 4
Orange ends | orange | 4 sliced off | measured | 4,5 | 1-2 x2 | us
"""
_PLANS = """
Next banana, one jar full | banana | 4 sliced off | on_top | 7 | 1-1 x1 | \
  yeast Lantern, acid 3.5, tannin 0.5, amylase
Next damson to the mark | damson | 4.5 crushed on | to_mark | 13 | 9-9 x1 | yeast Hobnail
Next elderberry, shorter | elderberry | 3.5 crushed on | on_top | 5 | 9-9 x1 | yeast Millrace, hot
Strong plum | plum | 4.5 sliced on | on_top | 7 | 9-9 x1 | yeast Millrace, aimed 14
Blackberry and elder | blackberry | 3 crushed on | to_mark | 7 | 9-9 x1 | \
  with 1 elderberry, yeast Wherry
Rhubarb with less sugar | rhubarb | 4 sliced on | on_top | 5 | 5-5 x1 | yeast Dovecote, aimed 10.5
"""


def _with_option(recipe: Recipe, option: str) -> Recipe:
    word, _, value = option.partition(" ")
    if word == "with":
        pounds, _, fruit = value.partition(" ")
        return replace(recipe, second=(fruit, float(pounds)))
    if word in {"acid", "tannin"}:
        return replace(recipe, **{f"{word}_tsp": float(value)})
    if word == "aimed":
        return replace(recipe, aimed=float(value))
    changes: dict[str, dict[str, object]] = {
        "frozen": {"frozen": True},
        "steady": {"yeasts": STEADY},
        "yeast": {"yeasts": (value,)},
        "no": {"enzyme": False},
        "amylase": {"amylase": True},
        "us": {"gallon": "us"},
        "pressed": {"pressed": "pressed"},
    }
    return replace(recipe, **changes.get(word, {"extraction": word}))


def _read(text: str) -> tuple[Recipe, ...]:
    recipes = []
    for line in text.strip().split("\n"):
        name, fruit, how, made, days, when, rest = (cell.strip() for cell in line.split("|"))
        pounds, form, skins = how.split()
        months, times = when.split(" x")
        first, last = months.split("-")
        recipe = Recipe(
            name=name,
            fruit=fruit,
            pounds=float(pounds),
            form=form,
            skins=skins == "on",
            made=made,
            days=tuple(int(day) for day in days.split(",")),
            months=(int(first), int(last)),
            times=int(times),
        )
        for option in filter(None, rest.split(", ")):
            recipe = _with_option(recipe, option)
        recipes.append(recipe)
    return tuple(recipes)


RECIPES = _read(_BOOK)
PLANNED = _read(_PLANS)
