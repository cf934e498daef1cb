"""An address as a QR code of text blocks, for a terminal."""

from __future__ import annotations

import importlib.util

from sunfleck.errors import SunfleckError

# ISO/IEC 18004 asks for four modules of quiet around the code.
QUIET = 4


def qr_text(address: str) -> str:
    """Return a QR code as text, two rows of modules in a line.

    Parameters
    ----------
    address : str
        What a camera is to read.

    Returns
    -------
    text : str
        Dark modules as blocks; to be shown dark on light.

    Raises
    ------
    SunfleckError
        If the QR library is not installed.
    """
    if importlib.util.find_spec("segno") is None:
        msg = 'the page on a phone needs segno, which is not installed; try: pip install "sunfleck[page]"'
        raise SunfleckError(msg)
    import segno  # noqa: PLC0415  # an extra

    rows = [list(row) for row in segno.make_qr(address, error="m").matrix_iter(border=QUIET)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    signs = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join(
        "".join(signs[int(bool(a)), int(bool(b))] for a, b in zip(*pair, strict=True)) for pair in pairs
    )
