"""Measure how time and memory of `load` and `fit` grow with the logbook.

    python tests/scale/growth.py [BATCHES ...]

For each size (1,000, 10,000 and 100,000 batches where none is given) writes the logbook of a
simulated maker, loads it, fits the models and tries them, in a process of its own (see
`fit_logbook`; the peak of memory of `fit` is that of a process that has loaded before). Writes
growth.csv, in which rows of other sizes stay, and growth.svg, on logarithmic axes, beside this
file, and prints the power of the batches with which each step grows: 1.0 is in step with them.
"""

import math
import sys
from pathlib import Path

import altair as alt
import polars as pl
import vl_convert

sys.path.insert(0, str(Path(__file__).parent))

from fit_logbook import STEPS, measure

SIZES = (1_000, 10_000, 100_000)
HERE = Path(__file__).parent
PANELS = {"processor_s": "processor seconds", "peak_mb": "peak of memory, MB"}


def measured(batches: int) -> list[dict[str, object]]:
    """Return one row per step: load, and the whole of fit."""
    took = measure(batches)
    rows = []
    for name, steps in {"load": ("load",), "fit": STEPS}.items():
        rows.append(
            {
                "batches": batches,
                "csv_mb": round(took["bytes"] / 1e6, 2),
                "step": name,
                "wall_s": round(sum(took[step][0] for step in steps), 2),
                "processor_s": round(sum(took[step][1] for step in steps), 2),
                "peak_mb": round(max(took[step][2] for step in steps) / 1e6),
            }
        )
    return rows


def chart(table: pl.DataFrame) -> alt.HConcatChart:
    """Draw a panel for time and one for memory, both axes logarithmic."""
    sizes = table["batches"].unique().to_list()
    x = alt.X("batches:Q", title="batches").scale(type="log").axis(values=sizes, format=",")
    panels = [
        alt.Chart(table, width=260, height=260)
        .mark_line(point=True)
        .encode(
            x=x,
            y=alt.Y(f"{column}:Q", title=title).scale(type="log"),
            color=alt.Color("step:N", title=None),
        )
        for column, title in PANELS.items()
    ]
    return alt.hconcat(*panels)


def draw(table: pl.DataFrame) -> None:
    """Write the plot beside this file."""
    svg = vl_convert.vegalite_to_svg(chart(table).to_json())
    (HERE / "growth.svg").write_text(svg + "\n", encoding="utf-8")


def exponents(table: pl.DataFrame) -> None:
    """Print d log y / d log batches between neighbouring sizes."""
    for step in table["step"].unique(maintain_order=True):
        rows = table.filter(pl.col("step") == step).sort("batches")
        for (low, high), column in (
            (pair, column)
            for pair in zip(
                rows.iter_rows(named=True), rows[1:].iter_rows(named=True), strict=False
            )
            for column in PANELS
        ):
            more = math.log(high["batches"] / low["batches"])
            power = math.log(high[column] / low[column]) / more
            print(f"{step}, {low['batches']} to {high['batches']}: {column} to the {power:.2f}")


def main(sizes: tuple[int, ...]) -> None:
    """Measure every size, write table and plot."""
    path = HERE / "growth.csv"
    for batches in sizes:
        table = pl.DataFrame(measured(batches))
        print(*table.iter_rows(), sep="\n", flush=True)
        if path.exists():
            others = pl.read_csv(path).filter(pl.col("batches") != batches)
            table = pl.concat([others, table], how="vertical_relaxed").sort("batches")
        table.write_csv(path)
    draw(table)
    exponents(table)


if __name__ == "__main__":
    main(tuple(int(size) for size in sys.argv[1:]) or SIZES)
