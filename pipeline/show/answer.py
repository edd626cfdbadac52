"""What a command found out, on its way to the reader."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pipeline.show.units import Units

if TYPE_CHECKING:
    import polars as pl


@dataclass
class Answer:
    """What a command found out.

    Parameters
    ----------
    data : dict
        The machine form, SI units, exactly as `--json` prints it.
    units : Units
        How this logbook wants quantities written in the readable form.
    raw : dict of str to polars.DataFrame
        The files as written, where the readable form quotes from them.
    cannot_say : bool
        The question was sound, but the logbook holds too little to answer it.
    set_aside : bool
        Rows of the logbook were set aside.
    """

    data: dict
    units: Units = field(default_factory=Units)
    raw: "dict[str, pl.DataFrame]" = field(default_factory=dict)
    cannot_say: bool = False
    set_aside: bool = False
