"""The files of a sheet: one PDF, or a picture a page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sunfleck.errors import DomainError, SunfleckError
from sunfleck.outputs.pictures import replace_with

FORMATS = ("pdf", "png")


def sheet_format(file: Path) -> str:
    """Return what a sheet's ending asks for.

    Parameters
    ----------
    file : Path
        Where the sheet is to be written.

    Returns
    -------
    kind : str
        ``pdf`` or ``png``.

    Raises
    ------
    DomainError
        If the ending is another.
    """
    kind = file.suffix.lower().removeprefix(".")
    if kind not in FORMATS:
        msg = f"a sheet ends in {' or '.join('.' + each for each in FORMATS)}; got {file.name!r}"
        raise DomainError(msg)
    return kind


def write_pages(contents: Sequence[bytes], file: Path) -> list[Path]:
    """Write a sheet's pages; further pictures get ``-2`` and so on.

    Raises
    ------
    SunfleckError
        If one cannot be written.
    """
    written = []
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        for number, content in enumerate(contents, start=1):
            target = file if number == 1 else file.with_name(f"{file.stem}-{number}{file.suffix}")
            written.append(replace_with(target, content))
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror or error}"
        raise SunfleckError(msg) from error
    return written
