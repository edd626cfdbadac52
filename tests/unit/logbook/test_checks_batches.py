"""Rules about whole batches: each warns where it should and is silent where it should not."""

import inspect
from importlib import import_module
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.logbook.checks.batches import RULES

BATCHES = "batch_id,started_on,extraction,target_volume\n"
ADDITIONS = "batch_id,added_on,kind,ingredient,amount,removed_on\n"
READINGS = "batch_id,taken_on,gravity,instrument,must_temperature,volume,temperature\n"
TRANSFERS = "batch_id,moved_on,step,volume_after,topped_up,topped_up_with,bottles\n"


@pytest.fixture
def warnings(read: Any) -> Any:
    """Read a batch A1 of 4.5 L begun on 10 January with hot water and 2 kg of plums."""

    def found(
        *,
        additions: tuple[str, ...] = (),
        readings: tuple[str, ...] = (),
        transfers: tuple[str, ...] = (),
        extraction: str = "hot",
    ) -> pl.DataFrame:
        checked = read(
            batches=f"{BATCHES}A1,2026-01-10,{extraction},4.5 L\n",
            additions=_file(ADDITIONS, ("2026-01-10,fruit,plum,2 kg,", *additions)),
            readings=_file(READINGS, readings),
            transfers=_file(TRANSFERS, transfers),
        )
        errors = checked.problems.filter(level="error")
        assert errors.height <= 1, errors
        return checked.problems.filter(pl.col("level") != "error")

    return found


def _file(heading: str, rows: tuple[str, ...]) -> str:
    return heading + "".join(f"A1,{row}\n" for row in rows)


def _rules(problems: pl.DataFrame) -> list[tuple[Any, ...]]:
    return problems.select("rule", "file", "line").rows()


def _falling(*gravities: str) -> tuple[str, ...]:
    return tuple(f"2026-01-{11 + 3 * at},{gravity},,,," for at, gravity in enumerate(gravities))


def test_a_plain_batch_has_no_warning(warnings: Any) -> None:
    problems = warnings(
        additions=("2026-01-11,yeast,Lantern,5 g,", "2026-01-10,sugar,white sugar,1 kg,"),
        readings=_falling("1.082", "1.040", "1.010", "0.995"),
        transfers=("2026-01-18,strain,4.2 L,,,", "2026-03-01,bottle,,,,5"),
    )
    assert problems.is_empty(), problems


def test_a_gravity_that_rises(warnings: Any) -> None:
    problems = warnings(readings=_falling("1.080", "1.084", "0.995"))
    assert _rules(problems) == [("gravity-rises", "readings.csv", 3)]
    assert "rose from 1.08 to 1.084" in problems["message"][0]
    assert problems["value"].to_list() == ["1.084"]


@pytest.mark.parametrize(
    ("readings", "additions"),
    [
        (_falling("1.080", "1.083", "0.995"), ()),
        (_falling("1.030", "1.050", "0.995"), ("2026-01-12,sugar,white sugar,500 g,",)),
        (_falling("1.030", "1.050", "0.995"), ("2026-01-14,honey,honey,500 g,",)),
        (_falling("1.030", "1.050", "0.995"), ("2026-01-11,fruit,plum,1 kg,",)),
        (_falling("1.030", "1.050", "0.995"), ("2026-01-13,sugar,white sugar,a bag,",)),
    ],
)
def test_a_gravity_that_need_not_explain_itself(
    warnings: Any, readings: tuple[str, ...], additions: tuple[str, ...]
) -> None:
    assert _rules(warnings(readings=readings, additions=additions)) == []


def test_a_warm_sample_is_corrected_before_it_counts_as_a_rise(warnings: Any) -> None:
    warm, cool = "2026-01-11,1.080,,,,40 C", "2026-01-14,1.085,,,,20 C"
    assert _rules(warnings(readings=(warm, cool))) == []


@pytest.mark.parametrize("days", [("2026-02-01", "2026-02-08"), ("2026-02-01", "2026-02-20")])
def test_stuck(warnings: Any, days: tuple[str, str]) -> None:
    readings = ("2026-01-11,1.090,,,,", *(f"{day},1.0235,,,," for day in days))
    problems = warnings(readings=readings)
    assert _rules(problems) == [("stuck", "readings.csv", 4)]
    assert "stood at 1.0235" in problems["message"][0]


@pytest.mark.parametrize(
    ("readings", "additions"),
    [
        (("2026-01-11,1.090,,,,", "2026-02-01,1.020,,,,", "2026-02-07,1.020,,,,"), ()),
        (("2026-01-11,1.090,,,,", "2026-02-01,0.996,,,,", "2026-02-20,0.996,,,,"), ()),
        (("2026-01-11,1.090,,,,", "2026-02-01,1.024,,,,", "2026-02-20,1.018,,,,"), ()),
        (
            ("2026-01-11,1.090,,,,", "2026-02-01,1.010,,,,", "2026-02-20,1.010,,,,"),
            ("2026-01-30,sorbate,potassium sorbate,0.6 g,",),
        ),
    ],
)
def test_not_stuck(warnings: Any, readings: tuple[str, ...], additions: tuple[str, ...]) -> None:
    assert "stuck" not in warnings(readings=readings, additions=additions)["rule"]


def test_no_start_is_not_stuck(warnings: Any) -> None:
    problems = warnings(readings=("2026-01-11,1.088,,,,", "2026-01-19,1.088,,,,"))
    assert _rules(problems) == [("no-start", "readings.csv", 3)]
    assert "preservatives" in problems["hint"][0]


@pytest.mark.parametrize(
    ("reading", "additions", "warns"),
    [
        ("2026-01-20,9.2 Bx,refractometer,,,", ("2026-01-11,yeast,Lantern,5 g,",), True),
        ("2026-01-11,22 Bx,refractometer,,,", ("2026-01-11,yeast,Lantern,5 g,",), False),
        ("2026-01-12,9.2 Bx,refractometer,,,", (), True),
        ("2026-01-11,22 Bx,refractometer,,,", (), False),
        ("2026-01-20,9.2 Bx,hydrometer,,,", ("2026-01-11,yeast,Lantern,5 g,",), False),
    ],
)
def test_a_refractometer_after_the_start(
    warnings: Any, reading: str, additions: tuple[str, ...], warns: bool
) -> None:
    rules = _rules(warnings(readings=(reading,), additions=additions))
    assert rules == ([("refractometer-after-start", "readings.csv", 2)] if warns else [])


def test_a_volume_that_grows(warnings: Any) -> None:
    problems = warnings(transfers=("2026-01-18,strain,4.0 L,,,", "2026-02-18,rack,4.3 L,,,"))
    assert _rules(problems) == [("volume-grows", "transfers.csv", 3)]
    assert "grew from 4.0 L to 4.3 L" in problems["message"][0]


@pytest.mark.parametrize(
    ("transfers", "additions"),
    [
        (("2026-01-18,strain,4.0 L,,,", "2026-02-18,rack,4.05 L,,,"), ()),
        (("2026-01-18,strain,4.0 L,0.4 L,wine,", "2026-02-18,rack,4.3 L,,,"), ()),
        (
            ("2026-01-18,strain,4.0 L,,,", "2026-02-18,rack,4.3 L,,,"),
            ("2026-02-01,water,water,500 mL,",),
        ),
        (("2026-01-18,strain,~4.0 L,,,", "2026-02-18,rack,4.3 L,,,"), ()),
        (("2026-02-18,bottle,3.75 L,,,5",), ()),
    ],
)
def test_a_volume_that_need_not_explain_itself(
    warnings: Any, transfers: tuple[str, ...], additions: tuple[str, ...]
) -> None:
    assert _rules(warnings(transfers=transfers, additions=additions)) == []


def test_bottles_count_as_a_volume(warnings: Any) -> None:
    problems = warnings(transfers=("2026-01-18,strain,4.0 L,,,", "2026-02-18,bottle,,,,6"))
    assert _rules(problems) == [("volume-grows", "transfers.csv", 3)]


def test_topping_up(warnings: Any) -> None:
    problems = warnings(
        transfers=(
            "2026-02-01,rack,3.0 L,0.75 L,water,",
            "2026-02-11,rack,3.5 L,0.25 L,wine,",
            "2026-02-21,rack,3.5 L,0.25 L,,",
        )
    )
    assert _rules(problems) == [
        ("topped-up-with-water", "transfers.csv", 2),
        ("topped-up-with-what", "transfers.csv", 4),
    ]
    assert "80 % of each is left" in problems["message"][0]


# 1.4 g of the potassium salt gives 1.4 x 0.576 = 0.807 g; in 3.8 L that is 212 mg/L.
@pytest.mark.parametrize(
    ("amount", "volume", "mg_l"), [("1.4 g", "3.8 L", 212), ("1/4 tsp", "4 L", 217)]
)
def test_a_slip_of_the_sulphite_spoon(warnings: Any, amount: str, volume: str, mg_l: int) -> None:
    problems = warnings(
        additions=(f"2026-02-02,sulphite,potassium metabisulphite,{amount},",),
        transfers=(f"2026-02-01,rack,{volume},,,",),
    ).filter(rule="sulphite-dose")
    assert problems["line"].to_list() == [3]
    assert problems["message"][0].startswith(f"STOP: this one dose is about {mg_l} mg/L")
    assert "asthma" in problems["hint"][0]


def test_sulphite_adds_up(warnings: Any) -> None:
    doses = tuple(f"2026-02-{day:02},sulphite,sodium metabisulphite,0.5 g," for day in range(2, 8))
    problems = warnings(additions=doses, transfers=("2026-02-01,rack,4 L,,,",))
    # 0.5 g x 0.674 / 4 L = 84 mg/L each: the fifth dose passes 350 mg/L.
    assert _rules(problems) == [("sulphite-total", "additions.csv", 7)]
    assert "421 mg/L" in problems["message"][0]
    assert "27 CFR 4.22" in problems["message"][0]


def test_sulphite_of_the_usual_size_is_no_matter(warnings: Any) -> None:
    dose = "2026-02-02,sulphite,potassium metabisulphite,0.3 g,"
    assert _rules(warnings(additions=(dose,))) == []


@pytest.mark.parametrize(("amount", "warns"), [("1.2 g", False), ("1.3 g", True)])
def test_sorbate(warnings: Any, amount: str, warns: bool) -> None:
    # 1.2 g x 0.7464 / 4.5 L = 199 mg/L sorbic acid, 1.3 g gives 216.
    rules = _rules(warnings(additions=(f"2026-02-02,sorbate,potassium sorbate,{amount},",)))
    assert rules == ([("sorbate-total", "additions.csv", 3)] if warns else [])


@pytest.mark.parametrize(("amount", "warns"), [("4.3 g", False), ("5 g", True)])
def test_nutrient(warnings: Any, amount: str, warns: bool) -> None:
    # 5 g of DAP in 4.5 L is 1.11 g/L, over the 0.96 g/L of 27 CFR 24.246; 4.3 g is 0.96.
    problems = warnings(additions=(f"2026-01-11,nutrient,diammonium phosphate,{amount},",))
    assert _rules(problems) == ([("nutrient-total", "additions.csv", 3)] if warns else [])


def test_nutrient_doses_add_up_before_the_volume_was_measured(warnings: Any) -> None:
    doses = tuple(f"2026-01-1{day},nutrient,DAP,2.5 g," for day in (1, 3))
    problems = warnings(additions=doses, transfers=("2026-01-18,strain,4.2 L,,,",))
    assert _rules(problems) == [("nutrient-total", "additions.csv", 4)]
    assert "1.19 g/L" in problems["message"][0]


@pytest.mark.parametrize(
    ("reading", "rules"),
    [
        ("2026-01-10 12:00,,,70 C,,", ["enzyme-in-hot-must"]),
        ("2026-01-10 12:00,,,30 C,,", []),
        ("2026-01-09 12:00,,,70 C,,", ["enzyme-on-a-hot-day"]),
    ],
)
def test_enzyme_and_heat(warnings: Any, reading: str, rules: list[str]) -> None:
    enzyme = ("2026-01-10 13:00,enzyme,pectic enzyme,2 g,",)
    problems = warnings(additions=enzyme, readings=(reading,))
    assert problems["rule"].to_list() == rules


def test_enzyme_in_cold_must_is_no_matter(warnings: Any) -> None:
    enzyme = ("2026-01-10,enzyme,pectic enzyme,2 g,",)
    assert _rules(warnings(additions=enzyme, extraction="cold")) == []


@pytest.mark.parametrize(
    ("removed", "transfers", "warns"),
    [
        ("2026-03-20", (), True),
        ("2026-03-11", (), False),
        ("", ("2026-03-20,strain,4 L,,,",), True),
        ("", ("2026-01-20,strain,4 L,,,",), False),
        ("", (), False),
    ],
)
def test_fruit_left_in(
    warnings: Any, removed: str, transfers: tuple[str, ...], warns: bool
) -> None:
    problems = warnings(
        additions=(f"2026-01-10,fruit,sloe,1 kg,{removed}",), transfers=transfers
    ).filter(line=3)
    assert problems["rule"].to_list() == (["fruit-left-in"] if warns else [])


BOTTLED = ("2026-03-01,bottle,3.7 L,,,",)
SORBATE = "2026-02-27,sorbate,potassium sorbate,0.6 g,"
SULPHITE = "2026-02-27,sulphite,potassium metabisulphite,0.3 g,"
SWEETENED = "2026-02-28,sugar,white sugar,100 g,"


@pytest.mark.parametrize(
    ("last", "additions", "warns"),
    [
        ("1.008", (), True),
        ("0.995", (SWEETENED,), True),
        ("0.995", (SWEETENED, SORBATE), True),
        ("0.995", (SWEETENED, SULPHITE), True),
        ("0.995", (SWEETENED, SORBATE, SULPHITE), False),
        ("1.008", (SORBATE, SULPHITE), False),
        ("0.995", (), False),
        ("0.995", ("2026-01-13,sugar,white sugar,300 g,",), False),
    ],
)
def test_sweet_in_the_bottle(
    warnings: Any, last: str, additions: tuple[str, ...], warns: bool
) -> None:
    problems = warnings(
        readings=("2026-01-11,1.082,,,,", f"2026-02-20,{last},,,,"),
        additions=additions,
        transfers=BOTTLED,
    )
    assert _rules(problems) == ([("not-stabilised", "transfers.csv", 2)] if warns else [])
    if warns:
        assert "BURST" in problems["message"][0]


@pytest.mark.parametrize(
    ("extraction", "warns"),
    [("cold", True), ("", True), ("juice", True), ("simmered", False), ("steamed", False)],
)
def test_raw_elder(warnings: Any, extraction: str, warns: bool) -> None:
    elder = ("2026-01-10,fruit,elderberries,1 kg,",)
    rules = _rules(warnings(additions=elder, extraction=extraction))
    assert rules == ([("raw-elder", "additions.csv", 3)] if warns else [])


def test_spoons_are_rough(warnings: Any) -> None:
    problems = warnings(additions=("2026-01-11,enzyme,pectic enzyme,1/2 tsp,",))
    assert _rules(problems) == [("spoon-weight", "additions.csv", 3)]
    assert "about 1.6 g by the spoon, ±20 %" in problems["message"][0]


def test_every_rule_is_tried_here() -> None:
    """Each rule's name in the messages of this file: none is without an example."""
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("*.py"))
    for rule in RULES:
        source = inspect.getsource(import_module(rule.__module__))
        body = source.split(f"def {rule.__name__}(")[1].split("\ndef ")[0:2]
        names = [part for part in "".join(body).split('"') if f'"{part}"' in tests and "-" in part]
        assert names, rule.__name__
