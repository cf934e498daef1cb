"""Finished figures as picture files: the same bytes every time, and never half of one."""

from __future__ import annotations

import os
from collections.abc import Iterable
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sunfleck.errors import DomainError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FORMATS = ("png", "svg")
# Without these the files would carry the day or the library's version.
NOTHING_OF_TODAY: dict[str, dict[str, Any]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": "Sunfleck"},
}


def require_formats(formats: Iterable[str]) -> None:
    """Refuse a format that no picture is written in.

    Raises
    ------
    DomainError
        If one is not ``png`` or ``svg``.
    """
    for name in formats:
        if name not in FORMATS:
            msg = f"format must be one of {', '.join(FORMATS)}; got {name!r}"
            raise DomainError(msg)


def save_picture(figure: Figure, folder: Path, stem: str, kind: str, title: str) -> Path:
    """Write a figure into a folder and return the file.

    Raises
    ------
    OSError
        If it cannot be written; what stood there before is still there.
    """
    picture = BytesIO()
    metadata = {**NOTHING_OF_TODAY[kind], "Title": title}
    figure.savefig(picture, format=kind, dpi=figure.dpi, facecolor=figure.get_facecolor(), metadata=metadata)
    return replace_with(folder / f"{stem}.{kind}", picture.getvalue())


def replace_with(target: Path, content: bytes) -> Path:
    """Write a file beside its place and move it there: a viewer never opens half a picture.

    Raises
    ------
    OSError
        If it cannot be written; what stood there before is still there.
    """
    part = target.parent / f".{target.name}.{os.getpid()}.part"
    try:
        part.write_bytes(content)
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)
    return target
