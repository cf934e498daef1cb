"""Files beside the plan: found, and never outside its folder."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from sunfleck.errors import DomainError


def beside(folder: Path, name: str, endings: tuple[str, ...], most: int) -> tuple[Path, str]:
    """Return a file that a plan names, and how its name ends.

    Parameters
    ----------
    folder : Path
        The plan's folder.
    name : str
        As the plan writes it, relative to that folder.
    endings : tuple of str
        What the name may end in, without the dot.
    most : int
        Most bytes it may have.

    Returns
    -------
    file : Path
        The file, resolved.
    ending : str
        One of `endings`.

    Raises
    ------
    DomainError
        If its name ends otherwise, it lies outside the folder, is not there, or is too large.
    """
    relative = PurePosixPath(name.replace("\\", "/"))
    ending = relative.suffix.removeprefix(".").lower()
    if ending not in endings:
        msg = f"its name ends in none of {', '.join('.' + each for each in endings)}"
        raise DomainError(msg)
    try:
        file = (folder / relative).resolve()
        if relative.is_absolute() or not file.is_relative_to(folder.resolve()):
            msg = "it lies outside the plan's folder"
            raise DomainError(msg)
        if not file.is_file():
            msg = f"there is no file {name} beside the plan"
            raise DomainError(msg)
        size = file.stat().st_size
    except (OSError, ValueError) as error:
        if isinstance(error, DomainError):
            raise
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        msg = f"it cannot be read ({reason})"
        raise DomainError(msg) from error
    if size > most:
        msg = f"it has {size / 1e6:.0f} MB; at most {most / 1e6:.0f} are read"
        raise DomainError(msg)
    return file, ending
