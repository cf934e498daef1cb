"""The drawing library, loaded only when a picture is asked for."""

from __future__ import annotations

import importlib.util
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sunfleck.errors import SunfleckError

# matplotlib keeps its settings in one table for the whole process.
_ONE_AT_A_TIME = threading.RLock()

SETTINGS: dict[Any, Any] = {
    "font.family": "sans-serif",
    # The first comes with matplotlib; the others are what a viewer of the SVG falls back on.
    "font.sans-serif": ["DejaVu Sans", "Verdana", "sans-serif"],
    "svg.fonttype": "none",
    "svg.hashsalt": "sunfleck",
    "path.simplify": True,
    "axes.unicode_minus": True,
    # A dollar in the name of a plan is a dollar.
    "text.parse_math": False,
}


class MissingExtra(SunfleckError):
    """A part that is installed on request only is not there."""


def require_drawing_library() -> None:
    """Refuse in plain words when matplotlib is not installed.

    Raises
    ------
    MissingExtra
        With the line that installs it.
    """
    if importlib.util.find_spec("matplotlib") is None:
        msg = 'maps need matplotlib, which is not installed; try: pip install "sunfleck[maps]"'
        raise MissingExtra(msg)


@contextmanager
def drawing_settings() -> Iterator[None]:
    """Draw with the settings of this program, whatever the user's own are; they come back afterwards.

    Raises
    ------
    MissingExtra
        If matplotlib is not installed.
    """
    require_drawing_library()
    import matplotlib as mpl  # noqa: PLC0415  # an extra; loading it takes half a second

    with _ONE_AT_A_TIME, mpl.rc_context(), warnings.catch_warnings():
        # A name in letters that the font lacks shows as boxes in a PNG; the SVG keeps the letters.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        mpl.rcdefaults()
        mpl.rcParams.update(SETTINGS)
        yield
