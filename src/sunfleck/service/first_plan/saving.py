"""A first plan written into a folder."""

from __future__ import annotations

from pathlib import Path

from sunfleck.service.first_plan.proposal import FirstPlan
from sunfleck.service.starting import write_plan


def write_first_plan(folder: Path, first: FirstPlan) -> Path:
    """Write a first plan into a folder, creating the folder where needed.

    Parameters
    ----------
    folder : Path
        Where; `plan.yaml` is the file's name.
    first : FirstPlan
        What to write.

    Returns
    -------
    file : Path
        What was written.

    Raises
    ------
    StartError
        If the folder already holds a plan, or cannot be written to.
    """
    return write_plan(folder, first.text)
