"""hedgerow: from a folder of batch logs to answers about country wine."""

__version__ = "0.1.0"
