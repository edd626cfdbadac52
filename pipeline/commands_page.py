"""The command that opens the page: who may reach it, and how its server runs."""

import argparse
import sys
from pathlib import Path

from pipeline.commands import Say, loaded
from pipeline.errors import LogbookError

# A page of another origin may have its own name lead to this machine once it is loaded, and would
# then be of the same origin: only what is asked under these names is answered.
_OWN_NAMES = ("127.0.0.1", "localhost")


def app(request: argparse.Namespace, say: Say) -> None:
    """Open the page on this machine only, until it is stopped."""
    from pipeline.logbook.folder import is_logbook

    if request.logbook.is_dir() and not is_logbook(request.logbook):
        say("there is no logbook in this folder yet; the page offers to start one")
    else:
        loaded(request.logbook, say)
    main = Path(__file__).parent.parent / "app" / "main.py"
    if not main.exists():
        raise LogbookError(f"The page's files are missing beside {main.parent}. Install again.")
    _serve(main, request)


def _serve(main: Path, request: argparse.Namespace) -> None:
    from streamlit.web import cli as streamlit

    options = server_options(request.port, opens_browser=not request.no_browser)
    flags = [f"--{name}={value}" for name, value in options.items()]
    flags += [f"--server.allowedHosts={name}" for name in _OWN_NAMES]
    sys.argv = ["streamlit", "run", str(main), *flags, "--", str(request.logbook.resolve())]
    sys.exit(streamlit.main())


def server_options(port: int, *, opens_browser: bool) -> dict[str, str]:
    """Return how the page's server is started; what keeps others out is said, not left to defaults.

    It listens on this machine only. A page of another origin that somebody has open in the same
    browser can neither read answers (CORS) nor send anything in the maker's name (XSRF).
    """
    from pipeline.logbook.importing.uploads import MOST_MB
    from pipeline.show.theme import theme_options

    return {
        "server.address": "127.0.0.1",
        "server.port": str(port),
        "server.headless": "false" if opens_browser else "true",
        "server.enableCORS": "true",
        "server.enableXsrfProtection": "true",
        "server.enableStaticServing": "false",
        "server.fileWatcherType": "none",
        "server.maxUploadSize": str(MOST_MB),
        "server.maxMessageSize": "200",
        "browser.serverAddress": "127.0.0.1",
        "browser.gatherUsageStats": "false",
        "client.allowedOrigins": f"http://127.0.0.1:{port}",
        # Python collects garbage when there is some; looking through all that has been learnt
        # after every click took longer than the click.
        "runner.postScriptGC": "false",
        "client.toolbarMode": "minimal",
        "client.showErrorDetails": "none",
        **theme_options(),
    }
