"""The proof that no motion exists: a flood of all poses that are not surely blocked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ProofState = Literal["proved", "found open", "gave up"]


@dataclass(frozen=True, slots=True)
class Proof:
    """What a flood from the goal came to.

    Attributes
    ----------
    state : str
        ``proved`` (closed: no motion exists), ``found open`` (it reaches the outside at this
        resolution, which proves nothing), ``gave up`` (more cells than allowed, or not layered).
    method : str
        What was flooded.
    divisions : int
        Cells along each edge of a quaternion cube. [-]
    cells : int
        Cells looked at. [-]
    """

    state: ProofState
    method: str
    divisions: int
    cells: int
