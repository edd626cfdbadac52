"""Where the project's own data files lie, in a checkout and in an installed wheel alike."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def project_file(*parts: str) -> Path:
    """Return the path of a file or folder under `sql/` or `data/`.

    Parameters
    ----------
    *parts : str
        Path inside the project, e.g. ``"data", "reference", "fruit.csv"``.

    Returns
    -------
    pathlib.Path
        In the wheel these folders ride inside the package; in a checkout they stand beside it.
    """
    packed = _PACKAGE / "_files"
    return (packed if packed.is_dir() else _PACKAGE.parent).joinpath(*parts)
