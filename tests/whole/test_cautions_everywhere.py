"""Every caution, on every surface where its trigger can occur: none of them is forgotten there."""

import json
from datetime import date
from html import unescape

import pytest

from pipeline.advice import sheet, suggest
from pipeline.advice.cautions import CAUTIONS
from pipeline.advice.cautions.shelf import shelf_cautions
from pipeline.advice.story import batch_cautions
from pipeline.advice.suggest.wanted import Wanted
from pipeline.cellar import load_cellar
from pipeline.cli import main
from pipeline.learning import fit_models
from pipeline.show.sheet_page import sheet_html
from pipeline.show.units import Units
from pipeline.show.words_care import care_lines
from pipeline.show.words_sheet import calendar_file

FILES = {
    "logbook.toml": 'gallon = "us"\nshow = "metric"\n[counts]\n"yeast packet" = "5 g"\n',
    "batches.csv": "batch_id,started_on,target_volume,status,extraction,recipe,yeast\n"
    "elder,2026-01-01,4 L,bottled,cold,elder,Wherry\n"
    "stones,2026-01-01,4 L,bottled,cold,stones,Wherry\n"
    "hot,2026-10-20,4 L,fermenting,hot,hot,Wherry\n"
    "flowers,2026-10-20,4 L,fermenting,cold,flowers,Wherry\n"
    "flat,2026-01-01,4 L,ageing,cold,flat,Wherry\n"
    "smelly,2026-01-01,4 L,ageing,cold,smelly,Wherry\n"
    "bomb,2026-01-01,4 L,bottled,cold,bomb,Wherry\n",
    "additions.csv": "batch_id,added_on,kind,ingredient,amount,form,ripeness,removed_on\n"
    "elder,2026-01-01,fruit,elderberries,1 kg,whole,ripe,2026-01-08\n"
    "stones,2026-01-01,fruit,damsons,1.5 kg,crushed,ripe,2026-01-08\n"
    "stones,2026-03-01,fining,egg white,2 g,,,\n"
    "stones,2026-03-02,sulphite,potassium metabisulphite,0.3 g,,,\n"
    "stones,2026-03-02,sorbate,potassium sorbate,0.5 g,,,\n"
    "hot,2026-10-20,fruit,plums,1.5 kg,crushed,over,\n"
    "flowers,2026-10-20,fruit,elderflower,100 g,whole,ripe,\n"
    "flowers,2026-10-20,fruit,rhubarb,1 kg,sliced,ripe,\n"
    "flat,2026-01-01,fruit,bananas,1.5 kg,sliced,ripe,2026-01-08\n"
    "smelly,2026-01-01,fruit,blackberries,1 kg,crushed,ripe,2026-01-08\n"
    "bomb,2026-01-01,fruit,blackberries,1 kg,crushed,ripe,2026-01-08\n"
    "bomb,2026-01-01,sugar,sugar,1.3 kg,,,\n",
    "readings.csv": "batch_id,taken_on,gravity,ph,ta\n"
    "elder,2026-01-01,1.085,3.4,6\nelder,2026-04-01,0.994,3.4,6\n"
    "stones,2026-01-01,1.085,3.4,6\nstones,2026-04-01,0.994,3.4,6\n"
    "hot,2026-10-20,1.085,3.4,6\nhot,2026-10-25,1.040,3.4,6\n"
    "flowers,2026-10-20,1.085,3.4,6\nflowers,2026-10-25,1.040,3.4,6\n"
    "flat,2026-01-01,1.085,4.3,3\nflat,2026-04-01,0.994,4.3,3\n"
    "smelly,2026-01-01,1.085,3.4,6\nsmelly,2026-04-01,0.994,3.4,6\n"
    "bomb,2026-01-01,1.120,3.4,6\nbomb,2026-05-01,1.020,3.4,6\n",
    "transfers.csv": "batch_id,moved_on,step,volume_after,bottles\n"
    "elder,2026-01-08,strain,4 L,\nelder,2026-05-01,bottle,,5\n"
    "stones,2026-01-08,strain,4 L,\nstones,2026-05-01,bottle,,5\n"
    "flat,2026-01-08,strain,4 L,\nsmelly,2026-01-08,strain,4 L,\n"
    "bomb,2026-01-08,strain,4 L,\nbomb,2026-05-02,bottle,,5\n",
    "tastings.csv": "batch_id,tasted_on,taster,astringency,bitterness,warmth,score,faults\n"
    "elder,2026-06-01,Ann,5,4,3,12,\nstones,2026-06-01,Ann,8,7,5,9,\n"
    "flat,2026-06-01,Ann,1,1,2,13,\nsmelly,2026-06-01,Ann,2,3,2,10,sulphury\n"
    "bomb,2026-06-01,Ann,2,2,4,11,refermenting\n",
    "recipes.csv": "recipe,day,kind,ingredient,amount,form,ripeness,removed_day,yeast,"
    "target_volume,sweeten_to\n"
    "all,0,fruit,elderberries,500 g,crushed,over,7,Wherry,4 L,20 g/L\n"
    "all,0,fruit,damsons,500 g,crushed,ripe,7,,,\n"
    "all,0,fruit,rhubarb,500 g,sliced,ripe,7,,,\n"
    "all,0,fruit,elderflower,50 g,whole,ripe,7,,,\n"
    "all,0,water,water,3 L,,,,,,\n"
    "all,0,sugar,sugar,900 g,,,,,,\n"
    "all,1,yeast,Wherry,1 packet,,,,,,\n"
    "all,40,fining,egg white,2 g,,,,,,\n"
    "all,60,sorbate,potassium sorbate,0.5 g,,,,,,\n",
}
PLANNED = {"predict", "suggest", "compare plan", "sheet", "page", "calendar"}
# Trigger: the surfaces on which it can occur. What only a reading or a taster can show is in no
# plan; what only a pair of hands can do is at no batch that stands in a bottle.
REACHES = {
    "lookalike_plants": PLANNED | {"load", "shelf"},
    "raw_elder": PLANNED | {"compare batches", "harsh elder", "bench elder", "load", "shelf"},
    "stone_kernels": PLANNED | {"compare batches", "harsh stones", "bench stones", "load", "shelf"},
    "rhubarb_leaves": PLANNED | {"load", "shelf"},
    "mould": PLANNED | {"compare batches", "load", "shelf"},
    "low_acid": {"compare batches", "harsh flat", "bench flat", "load", "shelf"},
    "hot_liquid": PLANNED | {"compare batches", "load", "shelf"},
    "bottle_pressure": PLANNED
    | {"compare batches", "harsh bomb", "bench bomb", "bench sweeten", "load", "shelf"},
    "glass": {"sheet", "page", "calendar", "bench sweeten"},
    "sulphite": PLANNED
    | {"compare batches", "harsh stones", "bench stones", "bench sweeten", "load", "shelf"},
    "sorbate": PLANNED | {"compare batches", "bench stones", "bench sweeten", "load", "shelf"},
    "caustic": {"sheet", "page", "calendar", "bench acid"},
    "copper": {"compare batches", "harsh smelly", "bench smelly", "load", "shelf"},
    "fining_allergens": PLANNED
    | {"compare batches", "harsh stones", "bench stones", "load", "shelf"},
    "carbon_dioxide": PLANNED | {"compare batches", "bench hot", "load", "shelf"},
    "strong_wine": {"sheet", "page", "calendar", "harsh elder", "bench elder", "tasting"},
    "distilling": {"bench strong", "suggest strong"},
    "home_production": PLANNED,
}
CALLS = {
    "predict": ("predict", "all"),
    "suggest": ("suggest", "all"),
    "compare plan": ("compare", "all", "flat"),
    "compare batches": (
        *("compare", "elder", "stones", "hot", "flowers", "flat", "smelly", "bomb"),
    ),
    "sheet": ("sheet", "all"),
    "tasting": ("tasting", "elder", "stones"),
    "bench sweeten": ("bench", "smelly", "--sweeten-to", "20 g/L"),
    "bench acid": ("bench", "smelly", "--acidity", "5 g/L"),
    "bench strong": ("bench", "smelly", "--alcohol", "20"),
    "load": ("load",),
    **{
        f"{command} {batch}": (command, batch)
        for command in ("harsh", "bench")
        for batch in ("elder", "stones", "hot", "flat", "smelly", "bomb")
    },
}
# What the page of a batch says of it as it stands.
OF_A_BATCH = {
    "elder": {"raw_elder"},
    "stones": {"stone_kernels", "sulphite", "sorbate", "fining_allergens"},
    "hot": {"hot_liquid", "stone_kernels", "mould", "carbon_dioxide"},
    "flowers": {"lookalike_plants", "raw_elder", "rhubarb_leaves"},
    "flat": {"low_acid", "glass"},
    "smelly": {"copper"},
    "bomb": {"bottle_pressure", "strong_wine"},
}
# The report gathers what `load` says of batches, `predict` of recipes and `harsh` of the harshest.
IN_REPORT = {"load", "predict", "harsh stones"}
# Sorted: tests that run side by side must be collected in one and the same order.
PAIRS = [
    (trigger, surface)
    for trigger, surfaces in REACHES.items()
    for surface in sorted(surfaces | ({"report"} if surfaces & IN_REPORT else set()))
] + [(trigger, f"story {batch}") for batch, due in OF_A_BATCH.items() for trigger in sorted(due)]


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    folder = tmp_path_factory.mktemp("logbook")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def shown():
    """What each surface shows, asked once."""
    return {}


def _codes(data):
    """Return the cautions anywhere in an answer, by their texts."""
    by_text = {caution.as_text(): name for name, caution in CAUTIONS.items()}
    found, todo = set(), [data]
    while todo:
        part = todo.pop()
        if isinstance(part, dict):
            todo += part.values()
        elif isinstance(part, list):
            todo += part
        elif isinstance(part, str) and part in by_text:
            found.add(by_text[part])
    return found


@pytest.fixture
def on(logbook, shown, capsys, tmp_path):
    """Return the cautions on a surface."""

    def ask(surface):
        if surface not in shown:
            shown[surface] = _shown(surface)
        return shown[surface]

    def _shown(surface):
        if surface == "shelf":
            lines = " ".join(care_lines(shelf_cautions(load_cellar(logbook))))
            return {name for name, caution in CAUTIONS.items() if caution.as_text() in lines}
        if surface == "page":
            html = sheet_html(
                sheet.answer(load_cellar(logbook), "all", None, date(2026, 11, 1)), Units()
            )
            return {name for name, one in CAUTIONS.items() if one.as_text()[:60] in html}
        if surface == "calendar":
            plan = sheet.answer(load_cellar(logbook), "all", None, date(2026, 11, 1))
            text = calendar_file(plan, Units()).decode().replace("\r\n ", "").replace("\\", "")
            return {name for name, one in CAUTIONS.items() if one.as_text() in text}
        if surface.startswith("story"):
            return _codes(batch_cautions(load_cellar(logbook), surface.removeprefix("story ")))
        if surface == "report":
            path = tmp_path / "report.html"
            assert main(["report", str(logbook), "-o", str(path)]) == 0
            text = unescape(path.read_text(encoding="utf-8"))
            return {name for name, one in CAUTIONS.items() if one.as_text() in text}
        if surface == "suggest strong":
            cellar = load_cellar(logbook)
            wanted = Wanted(strength=(19.0, 20.0))
            return _codes(suggest.answer(cellar, fit_models(cellar), "all", wanted))
        command, *words = CALLS[surface]
        assert main([command, str(logbook), *words, "--json"]) in (0, 1)
        return _codes(json.loads(capsys.readouterr().out))

    return ask


def test_the_table_is_walked_whole():
    assert set(REACHES) == set(CAUTIONS)
    assert len(CAUTIONS) == 18


@pytest.mark.parametrize(("trigger", "surface"), PAIRS)
def test_a_trigger_reaches_the_surface(trigger, surface, on):
    assert trigger in on(surface)


@pytest.mark.parametrize(
    ("trigger", "surface"),
    [
        ("raw_elder", "bench flat"),
        ("hot_liquid", "bench flat"),
        ("copper", "bench flat"),
        ("rhubarb_leaves", "bench stones"),
        ("mould", "harsh stones"),
        ("distilling", "predict"),
        ("fining_allergens", "bench elder"),
        ("carbon_dioxide", "bench elder"),
        ("low_acid", "harsh stones"),
    ],
)
def test_where_nothing_calls_for_it_it_is_not_said(trigger, surface, on):
    assert trigger not in on(surface)


@pytest.mark.parametrize(
    "words",
    [
        *(("predict", "all"), ("sheet", "all"), ("compare", "all", "flat"), ("suggest", "all")),
        *(("bench", "flat"), ("harsh", "stones"), ("tasting", "elder", "stones"), ("load",)),
    ],
)
def test_no_caution_is_cut_short_where_it_is_read(words, logbook, capsys):
    command, *names = words
    main([command, str(logbook), *names, "--json"])
    codes = _codes(json.loads(capsys.readouterr().out))
    main([command, str(logbook), *names])
    printed = " ".join(capsys.readouterr().out.split())
    assert codes
    for code in codes:
        assert CAUTIONS[code].as_text() in printed


def test_what_the_checks_find_dangerous_is_said_by_check_too(logbook, capsys):
    main(["check", str(logbook), "--json"])
    rules = {problem["rule"] for problem in json.loads(capsys.readouterr().out)["problems"]}
    assert {"raw-elder", "not-stabilised"} <= rules
