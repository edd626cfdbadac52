"""The command line: answers one call, or says in a sentence why not.

Results go to standard output, progress and refusals to standard error. Whatever takes long to
import is imported when a call needs it, so that `--help` answers at once.
"""

import sys

from pipeline.calls.overview import overview
from pipeline.errors import CannotSayError, HedgerowError

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
    if words in (["-h"], ["--help"]):
        sys.stdout.write(overview())
        return DONE
    from pipeline.calls.run import run

    try:
        return run(words)
    except CannotSayError as refusal:
        sys.stderr.write(f"Cannot say: {refusal}\n")
        return CANNOT_SAY
    except HedgerowError as refusal:
        sys.stderr.write(f"{refusal}\n")
        return UNUSABLE
    except BrokenPipeError:
        # Somebody closed the pager; there is nobody left to tell.
        sys.stderr.close()
        return DONE
    except KeyboardInterrupt:
        sys.stderr.write("Stopped. Nothing in the logbook was changed.\n")
        return UNUSABLE
