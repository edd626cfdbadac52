"""Reading a maker's logbook: a folder of tables kept by hand, into checked frames."""

from pipeline.logbook.checked import CheckedLogbook
from pipeline.logbook.reading import read_logbook
from pipeline.logbook.settings import Settings

__all__ = ["CheckedLogbook", "Settings", "read_logbook"]
