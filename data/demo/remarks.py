"""What makes pages look lived in: names of jars, remarks, a date in words, care before bottling."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from slips import Pages

if TYPE_CHECKING:
    from makers.maker import Maker

SWEET_G_L = 9.0
BATCH_NOTES = (
    "picked along the mill lane after rain",
    "windfalls from behind the chapel",
    "from Bo's allotment",
    "freezer clear-out before the new picking",
    "Ada's neighbour had a glut",
    "smelt lovely on day three",
    "lid left off one night, no harm seen",
    "moved to the warm cupboard in the frost",
    "cleared by itself",
    "slow to start",
    "foamed over on day two",
    "cap pushed down twice a day",
    "shared jar with Cass",
    "for the spring supper",
    "labels came off, fairly sure this is it",
)
FRUIT_NOTES = (
    "picked",
    "market, end of day",
    "from the hedge",
    "a few soft ones cut out",
    "weighed without stones",
    "given",
    "frozen in August",
)
GLASS_NOTES = (
    "grips a bit",
    "nice nose",
    "would keep",
    "thin",
    "opened up after an hour",
    "better than last year",
    "sharp at the end",
    "one for the table",
    "warm going down",
    "bring out again in spring",
)


def stabilise(pages: Pages, maker: Maker, rng: np.random.Generator) -> None:
    """Give most sweet wines sorbate and sulphite before they are bottled."""
    header, rows = pages["transfers"]
    step, day = header.index("step"), header.index("moved_on")
    bottled = {row[0]: row[day] for row in rows if row[step] == "bottle"}
    columns, additions = pages["additions"]
    residual = dict(zip(maker.batch_ids, maker.run.bottled.residual_g_l.tolist(), strict=True))
    for batch, bottled_on in bottled.items():
        if residual[batch] < SWEET_G_L or rng.random() < 0.15:
            continue
        added_on = str(date.fromisoformat(bottled_on) - timedelta(days=7))
        last = max(k for k, row in enumerate(additions) if row[0] == batch)
        blank = ("",) * (len(columns) - 5)
        additions[last + 1 : last + 1] = [
            (batch, added_on, "sulphite", "sulphite tablet", "1 tablet", *blank),
            (batch, added_on, "sorbate", "potassium sorbate", "0.5 g", *blank),
        ]


def name_jars(pages: Pages, rng: np.random.Generator) -> None:
    """Call each jar something: after its maker or its year, and not after the recipe alone."""
    header, rows = pages["batches"]
    name, recipe, started = (header.index(part) for part in ("name", "recipe", "started_on"))
    for k, row in enumerate(rows):
        who = str(rng.choice(["Ada", "Bo", "Cass", "Dov"]))
        plain = row[recipe].split(",")[0].lower()
        called = f"{who}'s {plain}" if rng.random() < 0.4 else f"{row[recipe]} {row[started][:4]}"
        rows[k] = (*row[:name], called, *row[name + 1 :])


def add_remarks(pages: Pages, rng: np.random.Generator) -> None:
    """Add the remarks people make, and write some dates with the month in letters."""
    shares = {
        "batches": (0.45, BATCH_NOTES),
        "additions": (0.3, FRUIT_NOTES),
        "tastings": (0.06, GLASS_NOTES),
    }
    for page, (share, notes) in shares.items():
        header, rows = pages[page]
        last = header.index("notes")
        for k, row in enumerate(rows):
            if rng.random() < share and (page != "additions" or row[2] == "fruit"):
                rows[k] = (*row[:last], str(rng.choice(notes)), *row[last + 1 :])
    for page in ("batches", "additions", "readings", "transfers"):
        rows = pages[page][1]
        column = 2 if page == "batches" else 1
        for k, row in enumerate(rows):
            if rng.random() < 0.07:
                day = date.fromisoformat(row[column])
                rows[k] = (*row[:column], f"{day.day} {day:%b %Y}", *row[column + 1 :])
