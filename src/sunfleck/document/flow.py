"""Plain data as YAML on one line, in the style that plans write entries in."""

from __future__ import annotations

import json
import math
from typing import Any

from sunfleck.document.edit import scalar_text
from sunfleck.document.scalars import resolve


def text_scalar(value: str) -> str:
    """Return text as a scalar that reads back as that text, also where it looks like a number.

    Parameters
    ----------
    value : str
        Any text.

    Returns
    -------
    scalar : str
        On one line.

    Examples
    --------
    >>> [text_scalar(word) for word in ("uv tube", "1", "true", "a, b")]
    ['uv tube', '"1"', '"true"', '"a, b"']
    """
    if value and not isinstance(resolve(value), str):
        return json.dumps(value, ensure_ascii=False)
    return scalar_text(value)


def flow_text(data: Any) -> str:
    """Return plain data on one line; text, numbers, true, false, None, lists and keys read back equal.

    Parameters
    ----------
    data : object
        As `Document.data` holds it.

    Returns
    -------
    text : str
        YAML within braces or brackets.

    Examples
    --------
    >>> flow_text({"name": "own meter", "reads": ["uvi", "lux"], "factor": 0.95, "accuracy": "10 %"})
    '{name: own meter, reads: [uvi, lux], factor: 0.95, accuracy: 10 %}'
    """
    if isinstance(data, dict):
        return "{" + ", ".join(f"{text_scalar(key)}: {flow_text(value)}" for key, value in data.items()) + "}"
    if isinstance(data, list):
        return "[" + ", ".join(map(flow_text, data)) + "]"
    if isinstance(data, str):
        return text_scalar(data)
    if data is None or isinstance(data, bool):
        return json.dumps(data)
    if isinstance(data, float) and not math.isfinite(data):
        return {"nan": ".nan", "inf": ".inf", "-inf": "-.inf"}[str(data)]
    return repr(data)
