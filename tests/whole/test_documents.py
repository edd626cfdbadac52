"""What the documents show is run: Python blocks as they stand, commands and their output too."""

import re
import shlex
from pathlib import Path

import pytest

import pipeline
from pipeline.cli import main
from pipeline.errors import UnknownNameError

ROOT = Path(__file__).parents[2]
DOCUMENTS = (
    *("README.md", "DEVELOPERS.md", "pipeline/METHODS.md"),
    *("data/reference/PROVENANCE.md", "sql/TABLES.md"),
)
NUMBER = r"\d+(?:\.\d+)?"


def _blocks(document: str, language: str) -> list[str]:
    text = (ROOT / document).read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_python_examples_run_as_they_stand(document, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    names: dict = {}
    for block in _blocks(document, "python"):
        exec(compile(block, document, "exec"), names)
    if document == "DEVELOPERS.md":
        printed = capsys.readouterr().out
        assert "Millrace 0.99" in printed
        assert 0.6 < names["bananas"]["finished_fraction"].mean() < 0.9
        assert names["deviation"].shape == (3,)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_sessions_print_what_is_quoted(document, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for block in _blocks(document, "console"):
        for session in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            call, _, quoted = session.partition("\n")
            program, *words = shlex.split(call)
            assert program == "hedgerow"
            assert main(words) in (0, 1), capsys.readouterr().err
            assert_quoted(quoted, capsys.readouterr().out, call)


def assert_quoted(quoted, printed, call):
    """Hold a quotation against the print: words to the letter, numbers to a tenth of each."""
    pieces = re.split(rf"({NUMBER})", "".join(quoted.split()))
    pattern = "".join(
        f"({NUMBER})" if place % 2 else re.escape(piece).replace("…", ".*?")
        for place, piece in enumerate(pieces)
    )
    found = re.search(pattern, "".join(printed.split()), re.DOTALL)
    assert found, f"{call} prints otherwise now:\n{printed}"
    said = [float(number) for number in pieces[1::2]]
    assert [float(number) for number in found.groups()] == pytest.approx(said, rel=0.1, abs=0.1)


def test_a_quotation_holds_words_to_the_letter_and_numbers_nearly():
    assert_quoted("a pear … 7.1 (6 to 8)", "A\na pear gives\n 7.3 (6 to  8)", "x")
    with pytest.raises(AssertionError, match="prints otherwise now"):
        assert_quoted("a pear", "a plum", "x")
    with pytest.raises(AssertionError, match=r"7\.1"):
        assert_quoted("7.1 points", "9.1 points", "x")


def test_files_that_documents_tell_to_run_or_read_are_there():
    for document in DOCUMENTS:
        text = (ROOT / document).read_text(encoding="utf-8")
        named = re.findall(r"\b((?:tests|pipeline|data|app|sql)/[\w./-]+\.\w+)", text)
        for name in named:
            assert (ROOT / name).exists(), f"{document}: {name}"
        for tool in re.findall(r"\.venv/bin/(\w+)", text):
            assert tool in {"pip", "python", "pytest", "ruff", "mypy", "hedgerow"}, tool


def test_the_picture_is_small_enough_for_a_readme():
    picture = ROOT / "tests" / "browser" / "page.png"
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert picture.stat().st_size < 150_000


def test_what_changed_begins_with_this_version():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    changed = text.split("## What changed\n\n")[1]
    assert changed.startswith(f"- {pipeline.__version__}: ")


def test_links_between_documents_lead_somewhere():
    for document in DOCUMENTS:
        text = (ROOT / document).read_text(encoding="utf-8")
        for target, place in re.findall(r"\]\(([^)#:]+)(?:#([\w-]+))?\)", text):
            path = (ROOT / document).parent / target
            assert path.exists(), f"{document}: {target}"
            if place:
                headings = re.findall(r"^#+ (.+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
                assert place in {
                    re.sub(r"[^\w-]", "", h.lower().replace(" ", "-")) for h in headings
                }


def test_every_public_name_is_there_and_no_other():
    for name in pipeline.__all__:
        assert getattr(pipeline, name).__name__ == name
    with pytest.raises(AttributeError, match="no attribute 'nonesuch'"):
        pipeline.nonesuch  # noqa: B018


def test_an_unknown_question_is_one_sentence():
    with pytest.raises(UnknownNameError, match=r"no question 'price'\. There are: fit, volume"):
        pipeline.answer("price", None, None)
