"""Write a plan to start from."""

from __future__ import annotations

import os
import tempfile
from importlib.resources import files
from pathlib import Path

from sunfleck.document.edit import replace_value
from sunfleck.document.reader import read_document
from sunfleck.errors import SunfleckError
from sunfleck.library.loader import load_library

STARTERS = {
    "tall-planted": "a tall planted box for an arboreal basker",
    "arid": "an arid box for a ground basker",
}


class StartError(SunfleckError):
    """A new plan that cannot be written where it was asked for."""


def starter_text(example: str) -> str:
    """Return one of the starting plans as text.

    Parameters
    ----------
    example : str
        One of :data:`STARTERS`.

    Returns
    -------
    text : str
        A whole plan file, locked to the library as it is now.
    """
    text = files("sunfleck.service").joinpath("starters", f"{example}.yaml").read_text(encoding="utf-8")
    document = read_document(text)
    return replace_value(document, ("library", "hash"), load_library().hash)


def write_new_plan(folder: Path, example: str) -> Path:
    """Write a starting plan into a folder, creating the folder where needed.

    Parameters
    ----------
    folder : Path
        Where; `plan.yaml` is the file's name.
    example : str
        One of :data:`STARTERS`.

    Returns
    -------
    file : Path
        What was written.

    Raises
    ------
    StartError
        If the folder already holds a plan, or cannot be written to.
    """
    return write_plan(folder, starter_text(example))


def write_plan(folder: Path, text: str) -> Path:
    """Write the text of a plan into a folder that holds none yet; see :func:`write_new_plan`."""
    file = folder / "plan.yaml"
    try:
        refuse_a_plan_there(folder)
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(file, text)
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror or error}"
        raise StartError(msg) from error
    return file


def refuse_a_plan_there(folder: Path) -> None:
    """Refuse a folder that already holds a plan, before any work is done for it.

    Raises
    ------
    StartError
        If it does.
    """
    file = folder / "plan.yaml"
    if file.exists():
        msg = f"{file} exists already; nothing was written. Name another folder, or move that plan away"
        raise StartError(msg)


def write_whole(file: Path, text: str) -> None:
    """Write a text file wholly or not at all."""
    handle, temporary = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.", text=True)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(file)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
