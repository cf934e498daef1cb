"""What a builder is asked before there is a plan: at most twelve answers, as they are written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sunfleck.document.problem import PlanError


class AnswerError(PlanError):
    """Answers that no plan can be made from; every problem at once, `where` names the answer."""

    without = "no plan was made"


@dataclass(frozen=True, kw_only=True)
class Answers:
    """Twelve answers, each as text; what has a default may be left out.

    Attributes
    ----------
    species : str
        Scientific name of an animal of the library.
    size : str
        Inside, width x depth x height, in any unit: ``160 cm x 70 cm x 100 cm``, ``4 ft x 2 ft x 2 ft``.
    who : str
        Sex and stage, of :func:`options`: ``adult female``.
    doors : str
        Kind and face, of :func:`options`: ``sliding front``.
    built_of : str
        Material of the walls and what covers them inside, of :func:`options`: ``plywood-birch/plywood-sealed``.
    room_winter, room_summer : str
        Room by day, in the coldest and the warmest month.
    night_drop : str
        How much cooler the room is by night.
    latitude : str
        In degrees, north positive; empty where it is not told.
    show_units : str
        ``metric`` or ``us``: in which units the plan is written.
    name : str
        Of the enclosure; after the animal where it is empty.
    keeper : str
        Who stands for the library's targets of this animal; empty where nobody does yet.
    """

    species: str
    size: str
    who: str = "adult"
    doors: str = "sliding front"
    built_of: str = "plywood-birch/plywood-sealed"
    room_winter: str = "20 degC"
    room_summer: str = "26 degC"
    night_drop: str = "2 K"
    latitude: str = ""
    show_units: Literal["metric", "us"] = "metric"
    name: str = ""
    keeper: str = ""
