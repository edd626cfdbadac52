"""Everything that hedgerow says no with.

HedgerowError            the base: one sentence for the maker, no traceback
├── LogbookError         the folder, a file or the settings cannot be used at all
│   └── ChangedMeanwhileError   it changed while it was read: made again, the call works
├── UnknownNameError     a batch, recipe, fruit or yeast that the logbook does not have
└── CannotSayError       the question is sound, the logbook holds too little to answer it

Only `pipeline.cli`, `pipeline.cluster.__main__` and `app.main` catch HedgerowError. Faulty rows are
not exceptions: they are set aside and listed as problems (see `pipeline.logbook`).
"""


class HedgerowError(Exception):
    """A refusal, worded for the maker: what, where, what to do next."""


class LogbookError(HedgerowError):
    """The logbook as a whole cannot be read or written."""


class ChangedMeanwhileError(LogbookError):
    """What was being read is not there any more: an answer would mix the old and the new.

    Parameters
    ----------
    what : str
        What happened, without a full stop.
    """

    def __init__(self, what: str) -> None:
        super().__init__(f"{what}. Call again.")
        self.what = what


class UnknownNameError(HedgerowError):
    """A name that is not in the logbook."""


class CannotSayError(HedgerowError):
    """Too little is logged to answer."""
