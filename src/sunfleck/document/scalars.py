"""What a plain scalar means: the core schema of YAML 1.2, by a function of our own."""

from __future__ import annotations

import math
import re
from typing import Any

LONGEST_NUMBER = 400
"""Characters beyond which a scalar is text; Python would take long over a longer number. [-]"""

_INTEGER = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o[0-7]+")
_HEX = re.compile(r"0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NUMBERS_BEGIN = frozenset("+-.0123456789")
_NUMBERS_END = frozenset(".0123456789abcdefABCDEF")
_NAMED: dict[str, Any] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".inf", ".Inf", ".INF", "+.inf", "+.Inf", "+.INF"), math.inf),
    **dict.fromkeys(("-.inf", "-.Inf", "-.INF"), -math.inf),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), math.nan),
}


def resolve(written: str) -> Any:
    """Return what a plain scalar means by the core schema of YAML 1.2 (``no`` stays a word).

    Parameters
    ----------
    written : str
        A scalar without quotes.

    Returns
    -------
    value : None, bool, int, float or str
        Infinite numbers and NaN too, so that later rules can refuse them by name.

    Examples
    --------
    >>> [resolve(word) for word in ("no", "12", "0x1F", "1e3", "true", "~", "4 ft")]
    ['no', 12, 31, 1000.0, True, None, '4 ft']

    References
    ----------
    YAML Language Development Team, *YAML Ain't Markup Language*, version 1.2.2, section 10.3.2,
    2021: tag resolution of the core schema.
    """
    if written in _NAMED:
        return _NAMED[written]
    if written[0] not in _NUMBERS_BEGIN or len(written) > LONGEST_NUMBER:
        return written
    if written[-1] not in _NUMBERS_END:
        # Most values of a plan end in a unit.
        return written
    if _INTEGER.fullmatch(written):
        return int(written)
    if _OCTAL.fullmatch(written):
        return int(written, 8)
    if _HEX.fullmatch(written):
        return int(written, 16)
    if _FLOAT.fullmatch(written):
        return float(written)
    return written
