"""How one window looks at the plan."""

from __future__ import annotations

from dataclasses import dataclass, field

from sunfleck.studies.channels import Channel
from sunfleck.studies.shown import AXES, Axis, Cut


@dataclass
class View:
    """What a window shows; every window has its own.

    Attributes
    ----------
    channel : str
        Which light.
    hour : int or None
        Of the day; None for the hours in which most lamps are lit. [h]
    axis : str or None
        What the cut is square to; None for no cut.
    places : dict of str to float
        Where the cut lies on each axis. [m]
    reach : bool
        Whether the points that the animal's back can get to are shown.
    before : bool
        Whether the saved plan is shown too, faintly.
    key : str or None
        What is chosen: ``group/name``.
    hidden : set of str
        What is left out of the picture.
    """

    channel: Channel = "uvi"
    hour: int | None = None
    axis: Axis | None = "y"
    places: dict[str, float] = field(default_factory=dict)
    reach: bool = False
    before: bool = False
    key: str | None = None
    hidden: set[str] = field(default_factory=set)

    def cut(self, size: tuple[float, float, float]) -> Cut | None:
        """The cut through a box of a size (3,): in its middle until it is moved. [m]"""
        if self.axis is None:
            return None
        whole = size[AXES[self.axis]]
        return Cut(self.axis, min(max(self.places.get(self.axis, whole / 2), 0.0), whole))
