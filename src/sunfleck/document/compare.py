"""Hold data against data: what an edit changed, and that it changed nothing else."""

from __future__ import annotations

import math
from copy import copy
from typing import Any

from sunfleck.document.tree import Path


def value_at(data: Any, path: Path) -> Any:
    """Return what stands at a path of a document's data."""
    for step in path:
        data = data[step]
    return data


def put_at(data: Any, path: Path, value: Any) -> Any:
    """Return data with another value at a path that there is; the data stay as they are.

    Examples
    --------
    >>> put_at({"a": [1, 2]}, ("a", 1), 3)
    {'a': [1, 3]}
    """
    if not path:
        return value
    changed = copy(data)
    changed[path[0]] = put_at(data[path[0]], path[1:], value)
    return changed


def same_but(before: Any, after: Any, but: Path | None = None) -> bool:
    """Return whether two data are equal everywhere, or everywhere but at one path.

    Parameters
    ----------
    before, after : object
        Dicts, lists and scalars; the order of keys counts, and so does a number's type.
    but : tuple, optional
        Path that is not looked at.

    Returns
    -------
    same : bool
        NaN is like NaN.

    Examples
    --------
    >>> same_but({"a": 1, "b": 2}, {"a": 1, "b": 3}), same_but({"a": 1, "b": 2}, {"a": 1, "b": 3}, ("b",))
    (False, True)
    """
    if but == ():
        return True
    if type(before) is not type(after):
        return False
    inner = but[1:] if but else None
    if isinstance(before, dict):
        return list(before) == list(after) and all(
            same_but(before[key], after[key], inner if but and key == but[0] else None) for key in before
        )
    if isinstance(before, list):
        return len(before) == len(after) and all(
            same_but(one, other, inner if but and index == but[0] else None)
            for index, (one, other) in enumerate(zip(before, after, strict=True))
        )
    if isinstance(before, float) and math.isnan(before):
        return math.isnan(after)
    return bool(before == after)
