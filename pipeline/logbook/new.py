"""Writing an empty logbook: headed files, settings, one worked example row each."""

import csv
import io
import json
from pathlib import Path

from pipeline.errors import LogbookError
from pipeline.logbook.contract import FILES, column_names
from pipeline.logbook.datapackage import data_package
from pipeline.logbook.settings import SETTINGS_FILE

PACKAGE_FILE = "datapackage.json"
EXAMPLE = "example"
EXAMPLE_NAME = "an example: replace it with your first batch"

_EXAMPLE_ROWS: dict[str, dict[str, str]] = {
    "batches": {
        "batch_id": EXAMPLE,
        "name": EXAMPLE_NAME,
        "started_on": "2025-09-20",
        "recipe": "damson plain",
        "yeast": "the name on the packet",
        "target_volume": "4.5 L",
        "extraction": "cold",
    },
    "additions": {
        "batch_id": EXAMPLE,
        "added_on": "2025-09-20",
        "kind": "fruit",
        "ingredient": "damson",
        "amount": "2 kg",
        "form": "crushed",
        "skins": "on",
        "ripeness": "ripe",
        "removed_on": "2025-09-28",
        "cost": "0",
        "notes": "one row for each thing that goes in",
    },
    "readings": {
        "batch_id": EXAMPLE,
        "taken_on": "2025-09-21 18:30",
        "gravity": "1.084",
        "temperature": "20 C",
        "ph": "3.4",
        "notes": "one row for each time you measure",
    },
    "transfers": {
        "batch_id": EXAMPLE,
        "moved_on": "2025-09-28",
        "step": "strain",
        "pressed": "squeezed",
        "volume_after": "4.2 L",
        "notes": "one row for each change of vessel",
    },
    "tastings": {
        "batch_id": EXAMPLE,
        "tasted_on": "2026-03-01",
        "taster": "your initials",
        "blind": "yes",
        "sweetness": "2",
        "sourness": "5",
        "astringency": "4",
        "bitterness": "2",
        "warmth": "3",
        "body": "5",
        "fruit": "6",
        "score": "14",
        "notes": "one row for each taster and glass",
    },
    "recipes": {
        "recipe": "damson plain",
        "day": "0",
        "kind": "fruit",
        "ingredient": "damson",
        "amount": "2 kg",
        "form": "crushed",
        "skins": "on",
        "removed_day": "8",
        "notes": "one row for each line of a recipe",
        "yeast": "the name on the packet",
        "target_volume": "4.5 L",
    },
}

_SETTINGS = """\
# Settings of this logbook. A line that begins with # does nothing; remove the # to use it.

# Which gallon, quart and pint you write: "us" (3.785 L) or "imperial" (4.546 L). There is no
# default, because the two differ by a fifth; `us gal` and `imp gal` in a cell always work.
# gallon = "us"

# Which number comes first in dates such as 03/04/2026: "day-first" or "month-first". Dates such as
# 2026-04-03 and 3 Apr 2026 always work.
# dates = "day-first"

# The decimal mark of this logbook: "." or ",".
# decimal = "."

# Money, for `cost`.
# currency = "EUR"

# Units in what is shown: "metric", "us" or "imperial".
# show = "metric"

# The size of a bottle.
# bottle = "750 mL"

# A glass counts as harsh from here (0 to 10), and the top of your one score scale.
# harsh_from = 5
# score_out_of = 20

# [hydrometer]
# The temperature it is made for, and what it reads in water of that temperature, minus 1.
# calibrated_at = "20 C"
# offset = 0

# [counts]
# What one packet or tablet weighs.
# "yeast packet" = "5 g"
# "sulphite tablet" = "0.44 g"
"""


def write_new_logbook(folder: Path) -> list[Path]:
    """Write an empty logbook.

    Parameters
    ----------
    folder : pathlib.Path
        Made if it is not there; nothing in it is ever overwritten.

    Returns
    -------
    list of pathlib.Path
        The files written.

    Raises
    ------
    LogbookError
        If a file of that name is there already, or the folder cannot be written to.
    """
    contents = {f"{name}.csv": headed_file(name) for name in FILES}
    contents[SETTINGS_FILE] = _SETTINGS
    contents[PACKAGE_FILE] = json.dumps(data_package(), indent=2) + "\n"
    there = sorted(name for name in contents if (folder / name).exists())
    if there:
        raise LogbookError(
            f"{folder} holds {', '.join(there)} already, and nothing is overwritten. Give the "
            "name of "
            "a new folder."
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [_written(folder / name, content) for name, content in contents.items()]
    except OSError as error:
        raise LogbookError(f"{folder} cannot be written to: {error.strerror}.") from error


def _written(path: Path, content: str) -> Path:
    # "x" and not "w": another program may have written the file a moment ago.
    with path.open("x", encoding="utf-8", newline="") as file:
        file.write(content)
    return path


def headed_file(name: str) -> str:
    """Return a file of the contract with its heading and one worked example row."""
    buffer = io.StringIO()
    writer = csv.DictWriter(buffer, column_names(name), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerow(_EXAMPLE_ROWS[name])
    return buffer.getvalue()
