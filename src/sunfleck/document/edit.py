"""Change one value of a document and nothing else."""

from __future__ import annotations

import json
import re

from sunfleck.document.reader import Document, Path, resolve
from sunfleck.errors import SunfleckError

# Text that YAML reads back as itself, inside brackets as well.
_SAFE = re.compile(r"[A-Za-z0-9_./+][A-Za-z0-9_./+ °'-]*")


class EditError(SunfleckError):
    """A change that cannot be made in place."""


def replace_value(document: Document, path: Path, value: str) -> str:
    """Return the document's text with one scalar replaced.

    Comments, order, spacing and all other characters stay, so that the change is a one-line
    difference.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the value stands.
    value : str
        The new value as text; it is quoted where YAML needs that.

    Returns
    -------
    text : str
        The whole new text.

    Raises
    ------
    EditError
        If no single value stands at `path`, or it goes over several lines.
    """
    if path not in document.styles:
        msg = f"no single value stands at {'.'.join(map(str, path))}"
        raise EditError(msg)
    mark = document.marks[path]
    old = document.text[mark.start : mark.end]
    if "\n" in old:
        msg = f"the value at {'.'.join(map(str, path))} goes over several lines; change it in an editor"
        raise EditError(msg)
    new = scalar_text(value)
    if mark.start == mark.end and document.text[mark.start - 1 : mark.start] not in ("", " ", "\n"):
        new = f" {new}"
    return document.text[: mark.start] + new + document.text[mark.end :]


def scalar_text(value: str) -> str:
    """Return text as a YAML scalar: plain where that reads back as the same, quoted elsewhere.

    Values that stand for a number or true and false stay plain.
    """
    plain = _SAFE.fullmatch(value) is not None and value == value.strip()
    if plain and resolve(value) is not None:
        return value
    return json.dumps(value, ensure_ascii=False)
