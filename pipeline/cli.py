"""The command line: answers one call, or says in a sentence why not.

Results go to standard output, progress and refusals to standard error. Whatever takes long to
import is imported when a call needs it, so that `--help` answers at once.
"""

import io
import os
import sys

from pipeline.calls.overview import overview
from pipeline.errors import CannotSayError, HedgerowError
from pipeline.show.terminal import in_one_line

DONE, CANNOT_SAY, UNUSABLE = 0, 1, 2


def main(arguments: list[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    arguments : list of str, optional
        The call without the program's name; by default that of this process.

    Returns
    -------
    int
        Exit status: 0 done; 1 cannot say, or rows set aside under --strict; 2 unusable.
    """
    words = sys.argv[1:] if arguments is None else arguments
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal or a file that lacks a letter shows its number; nothing fails over it.
            stream.reconfigure(errors="backslashreplace")
    if words in (["-h"], ["--help"]):
        sys.stdout.write(overview())
        return DONE
    from pipeline.calls.run import run

    try:
        return run(words)
    except CannotSayError as refusal:
        return _refused(f"Cannot say: {refusal}", CANNOT_SAY)
    except HedgerowError as refusal:
        return _refused(str(refusal))
    except BrokenPipeError:
        # Somebody closed the pager; there is nobody left to tell.
        _let_go_of_output()
        return DONE
    except OSError as fault:
        # What fails where nobody looked for it: a full disk, a folder that went away.
        _let_go_of_output()
        return _refused(_worded(fault))
    except MemoryError:
        return _refused(
            "This needs more memory than the machine has left. Close other programs, or move "
            "files that are no logbook out of the folder."
        )
    except KeyboardInterrupt:
        return _refused(
            "Stopped. The logbook is whole: an entry is in it or is not, never half of one."
        )


def _refused(sentence: str, status: int = UNUSABLE) -> int:
    sys.stderr.write(f"{in_one_line(sentence)}\n")
    return status


def _worded(fault: OSError) -> str:
    what = f"{fault.filename} cannot be used" if fault.filename else "Something cannot be written"
    return (
        f"{what}: {fault.strerror or fault}. Look whether it is there, whether you may use it and "
        "whether the disk has room, and try again."
    )


def _let_go_of_output() -> None:
    """Drop what is still to be printed: the interpreter would try again, and fail, on leaving."""
    try:
        sys.stdout.flush()
    except OSError:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
