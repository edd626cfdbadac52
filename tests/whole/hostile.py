"""A logbook in which everything that has a name has one that is made to run somewhere."""

import csv
from pathlib import Path

from whole.books import together, written

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'; drop table batches; --",
    "\" union select * from read_text('/etc/passwd') --",
    "=cmd|' /C calc'!A0",
    "+1+1",
    "@SUM(A1)",
    "-2+3",
    "[link](javascript:alert(1)) ![x](http://x)",
    "</title></svg><svg onload=alert(1)>",
    "{{7*7}} ${7*7} $(id) `id`",
    ":material/home: :red[a] $x$",
    "\x1b[2J\x1b]0;title\x07",
    "a.b[c]\\'\"",
    "&lt;b&gt; &amp;#60;",
    "BEGIN:VEVENT\\nSUMMARY:x",
    "\u202e 5.1 drawkcab",
    "apart\u2028here",
]
PLAN = "plan </script><script>alert(1)</script>"
YEAST, TASTER, FRUIT = "<b>Lantern</b>", "<i onclick=x>\nagain", "plum <u>x</u>"


def named_to_run(place: Path) -> Path:
    """Write the logbook into a folder of a hostile name of its own, and return it."""
    folder = written(place / "x", [together(at) for at in range(len(HOSTILE))])
    names = {f"B{at}": name for at, name in enumerate(HOSTILE)}
    names |= {"plan": PLAN, "Lantern": YEAST, "X": TASTER, "plum": FRUIT}
    for path in folder.glob("*.csv"):
        rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([[names.get(cell, cell) for cell in row] for row in rows])
    return folder.rename(folder.with_name("<img src=x onerror=alert(2)> & Co"))
