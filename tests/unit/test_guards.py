"""Rules of the house that no single module can keep alone."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from pipeline.calls import COMMANDS
from pipeline.calls.parser import build_parser

ROOT = Path(__file__).parents[2]
ROOMS = ["enology", "logbook", "cellar", "learning", "advice", "show"]
EVERYWHERE = {"counts", "errors", "files", "reference", "enology"}
TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "pyproject.toml", "pipeline", "app", "data", "tests", "sql"),
    *(".ci", ".gitignore", "LICENSE"),
}


def _imported_rooms(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
        elif isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
    return {name.split(".")[1] for name in names if name.startswith("pipeline.")}


@pytest.mark.parametrize("room", ROOMS)
def test_imports_point_one_way(room: str) -> None:
    allowed = EVERYWHERE | set(ROOMS[: ROOMS.index(room) + 1])
    modules = list((ROOT / "pipeline" / room).rglob("*.py"))
    assert modules
    for module in modules:
        assert _imported_rooms(module) <= allowed, module


def test_no_module_is_hidden_by_a_name_of_its_folder() -> None:
    """`from folder import name` must give the module, where the folder has one of that name."""
    for front in (ROOT / "pipeline").rglob("__init__.py"):
        folder = ".".join(front.parent.relative_to(ROOT).parts)
        modules = {path.stem for path in front.parent.glob("*.py")}
        tree = ast.parse(front.read_text(encoding="utf-8"))
        taken = {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module != folder:
                taken |= {alias.asname or alias.name for alias in node.names}
        assert not taken & modules, front


def test_spark_is_beside_the_cellar() -> None:
    for module in (ROOT / "pipeline" / "cluster").rglob("*.py"):
        assert _imported_rooms(module) <= EVERYWHERE | {"logbook", "cellar", "cluster"}, module
    for module in [*(ROOT / "app").rglob("*.py"), *(ROOT / "pipeline").glob("*.py")]:
        assert "cluster" not in _imported_rooms(module), module


def test_the_page_and_the_command_line_hold_no_arithmetic_libraries() -> None:
    modules = [*(ROOT / "app").rglob("*.py"), ROOT / "pipeline" / "cli.py"]
    for module in modules:
        source = module.read_text(encoding="utf-8")
        assert not re.search(r"^\s*(import|from) (numpy|scipy|duckdb|sklearn)\b", source, re.M), (
            module
        )


def test_every_command_has_help_and_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        assert len(command.help) > 10, command.name
        assert f"hedgerow {command.name}" in readme, command.name


def test_no_file_needs_scrolling_to_understand() -> None:
    python = [*(ROOT / "pipeline").rglob("*.py"), *(ROOT / "app").rglob("*.py")]
    long = {
        str(path.relative_to(ROOT)): lines
        for path in python
        if (lines := path.read_text(encoding="utf-8").count("\n")) > 250
    }
    assert not long


def test_top_level_holds_only_what_is_agreed() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    assert {name.split("/")[0] for name in tracked} <= TOP_LEVEL


def test_no_registry_and_no_machine_path_is_named() -> None:
    forbidden = "index-" + 'url|registry *= *"http|/wo' + "rk/|/ro" + "ot/"
    found = subprocess.run(
        ["git", "grep", "-nIE", forbidden, "--", "."], cwd=ROOT, capture_output=True, text=True
    )
    assert found.stdout == ""


@pytest.mark.parametrize("tool", [["ruff", "check", "."], ["ruff", "format", "--check", "."]])
def test_code_is_linted_and_formatted(tool: list[str]) -> None:
    run = subprocess.run([sys.executable, "-m", *tool], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout


@pytest.mark.slow
def test_types_hold() -> None:
    run = subprocess.run([sys.executable, "-m", "mypy"], cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout


def test_wrong_call_is_refused_in_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        build_parser().parse_args(["volume"])
    assert "the following arguments are required: LOGBOOK" in capsys.readouterr().err
