import subprocess
import sys


def test_answers_start_without_scikit_learn_and_what_it_brings():
    code = "import sys, pipeline.advice.suggest, pipeline.learning; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "scipy.sparse" in loaded
    assert not {"sklearn", "pandas", "scipy.stats"} & set(loaded)
