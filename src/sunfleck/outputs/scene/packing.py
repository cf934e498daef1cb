"""Scenes and paints as bytes.

The layout, one for both, all numbers little-endian:

========================  ==========================================================================
bytes                     what
========================  ==========================================================================
4                         uint32, length of the header: a multiple of four
header                    JSON in UTF-8, filled up with spaces
the rest                  arrays, each beginning at a multiple of four, the gaps filled with zeros
========================  ==========================================================================

Where the header has an array it has ``{"$": [type, offset, shape]}``: type ``f4``, ``u4`` or ``u1``, offset in
bytes from the end of the header, shape as in numpy. Each item of a scene has a ``hash`` of its content: an item
whose hash is the same need not be built again.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.scene.parts import Item, Paint, Scene

ALIGNED = 4
TYPES: dict[str, np.dtype[Any]] = {"f4": np.dtype("<f4"), "u4": np.dtype("<u4"), "u1": np.dtype("u1")}


def pack(content: Scene | Paint) -> bytes:
    """Return a scene or a paint as bytes, always the same for the same content.

    Parameters
    ----------
    content : Scene or Paint
        What.

    Returns
    -------
    data : bytes
        See the layout above.
    """
    arrays: list[NDArray[Any]] = []
    header = _plain(content, arrays)
    header["kind"] = "scene" if isinstance(content, Scene) else "paint"
    text = json.dumps(header, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % ALIGNED)
    body = [part for array in arrays for part in (array.tobytes(), b"\0" * (-array.nbytes % ALIGNED))]
    return b"".join([len(text).to_bytes(4, "little"), text, *body])


def unpack(data: bytes) -> dict[str, Any]:
    """Return what was packed, as plain mappings, lists and arrays.

    Parameters
    ----------
    data : bytes
        As packed.

    Returns
    -------
    header : dict
        With the arrays in their places.
    """
    length = int.from_bytes(data[:4], "little")
    body = memoryview(data)[4 + length :]

    def filled(value: Any) -> Any:
        if isinstance(value, list):
            return [filled(each) for each in value]
        if not isinstance(value, dict):
            return value
        if set(value) == {"$"}:
            kind, offset, shape = value["$"]
            count = int(np.prod(shape))
            return np.frombuffer(body, TYPES[kind], count, offset).reshape(shape)
        return {key: filled(each) for key, each in value.items()}

    header: dict[str, Any] = filled(json.loads(data[4 : 4 + length]))
    return header


def _plain(value: Any, arrays: list[NDArray[Any]]) -> Any:
    if isinstance(value, np.ndarray):
        kind = f"{value.dtype.kind}{value.dtype.itemsize}"
        offset = sum(array.nbytes + -array.nbytes % ALIGNED for array in arrays)
        arrays.append(np.ascontiguousarray(value, TYPES[kind]))
        return {"$": [kind, offset, list(value.shape)]}
    if is_dataclass(value):
        plain = {each.name: _plain(getattr(value, each.name), arrays) for each in fields(value)}
        if isinstance(value, Item):
            plain["hash"] = content_hash(value)
        return plain
    if isinstance(value, tuple | list):
        return [_plain(each, arrays) for each in value]
    if hasattr(value, "items"):
        return {key: _plain(each, arrays) for key, each in value.items()}
    return value


def content_hash(item: Item) -> str:
    """Return what tells one state of an item from another."""
    digest = hashlib.blake2b(digest_size=8)
    arrays: list[NDArray[Any]] = []
    plain = {each.name: _plain(getattr(item, each.name), arrays) for each in fields(item)}
    digest.update(json.dumps(plain, sort_keys=True).encode())
    for array in arrays:
        digest.update(array.tobytes())
    return digest.hexdigest()
