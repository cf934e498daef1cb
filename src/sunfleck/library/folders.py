"""Where a user keeps library entries of their own."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

from sunfleck.errors import LibraryError
from sunfleck.library.loader import Library, load_library

OWN = "library"
CHOSEN = "SUNFLECK_LIBRARY"


def user_folder() -> Path:
    """Return the folder of entries that serve all plans of this user: ``SUNFLECK_LIBRARY``, or one in the user's data."""
    chosen = os.environ.get(CHOSEN)
    return Path(chosen) if chosen else platformdirs.user_data_path("sunfleck") / OWN


def library_for(plan_folder: Path | None = None) -> Library:
    """Return the library as one plan sees it.

    Parameters
    ----------
    plan_folder : Path, optional
        Folder of the plan. Its `library` folder, if there is one, stands above the user's, and that above what
        comes with the program.

    Returns
    -------
    library : Library
        All entries; an entry of the same id takes the place of one below it.

    Raises
    ------
    LibraryError
        With every fault of every file of the folders.
    """
    if os.environ.get(CHOSEN) and not user_folder().is_dir():
        msg = f"{CHOSEN} names {user_folder()}, which is no folder"
        raise LibraryError(msg)
    folders = [user_folder()] + ([plan_folder / OWN] if plan_folder is not None else [])
    library = load_library()
    for folder in folders:
        if folder.is_dir():
            library = load_library(folder, library)
    return library
