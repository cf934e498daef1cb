"""Write a data sheet of a library entry."""

from __future__ import annotations

from pathlib import Path

from sunfleck import __version__
from sunfleck.errors import SunfleckError
from sunfleck.library.browse import show
from sunfleck.library.folders import library_for
from sunfleck.outputs.data_sheet import data_sheet
from sunfleck.outputs.pictures import replace_with
from sunfleck.units import System


def write_sheet(entry_id: str, out: Path | None, plan_folder: Path | None, system: System) -> Path:
    """Write a data sheet of one entry as PDF.

    Parameters
    ----------
    entry_id : str
        As :func:`sunfleck.library.browse.show` takes it.
    out : Path, optional
        The file; ``ENTRY_ID.pdf`` in the folder one is in when left out.
    plan_folder : Path, optional
        Folder of a plan, whose own entries are known too.
    system : str
        ``metric`` (A4) or ``us`` (letter).

    Returns
    -------
    file : Path
        What was written.

    Raises
    ------
    DomainError
        If there is no such entry.
    SunfleckError
        If the file cannot be written, or the drawing library is not installed.
    """
    found = show(entry_id, plan_folder)
    file = out if out is not None else Path(f"{found.id}.pdf")
    stated = f"Sunfleck {__version__}, library {library_for(plan_folder).hash[:12]}"
    content = data_sheet(found, system, stated)
    try:
        return replace_with(file, content)
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror or error}"
        raise SunfleckError(msg) from error
