"""Names written in two ways, recipes that contradict themselves, rows that say nothing."""

from typing import Any

TASTINGS = "batch_id,tasted_on,taster,score\n"


def _found(checked: Any) -> list[tuple[Any, ...]]:
    return checked.problems.select("level", "file", "line", "column", "rule", "hint").rows()


def test_a_taster_written_in_two_ways(read: Any) -> None:
    names = ("Ada", "ada", "Ada", "Bo", "A.da ", "Adam")
    checked = read(
        tastings=TASTINGS
        + "".join(f"A1,2026-06-0{at},{name},14\n" for at, name in enumerate(names, 1))
    )
    assert _found(checked) == [
        ("warning", "tastings.csv", 3, "taster", "spelled-two-ways", "Ada"),
        ("warning", "tastings.csv", 6, "taster", "spelled-two-ways", "Ada"),
    ]
    assert checked.typed["tastings"]["taster"].to_list() == [name.strip() for name in names]


def test_a_yeast_and_a_recipe_written_in_two_ways(read: Any) -> None:
    rows = "A1,2026-01-10,Lantern,plum dark\nA2,2026-01-10,lantern,Plum-dark\n"
    checked = read(batches=f"batch_id,started_on,yeast,recipe\n{rows}")
    assert [found[3:] for found in _found(checked)] == [
        ("yeast", "spelled-two-ways", "Lantern"),
        ("recipe", "spelled-two-ways", "plum dark"),
    ]


def test_a_recipe_that_contradicts_itself(read: Any) -> None:
    checked = read(
        recipes="recipe,day,kind,ingredient,amount,yeast,target_volume\n"
        "plum,0,fruit,plum,2 kg,Lantern,4.5 L\n"
        "plum,0,water,water,3 L,Millrace,4.5 L\n"
        "pear,0,fruit,pear,2 kg,Millrace,\n"
    )
    assert _found(checked) == [
        (
            "warning",
            "recipes.csv",
            3,
            "yeast",
            "recipe-said-twice",
            "say it on one line of the recipe only",
        )
    ]
    assert checked.typed["recipes"]["yeast"].to_list() == ["Lantern", "Lantern", "Millrace"]


def test_a_reading_of_nothing(read: Any) -> None:
    checked = read(readings="batch_id,taken_on,gravity,notes\nA1,2026-01-11,,looks fine\n")
    assert [found[:5] for found in _found(checked)] == [
        ("notice", "readings.csv", 2, "gravity", "nothing-read")
    ]
