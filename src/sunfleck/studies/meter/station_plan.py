"""Marked measuring points as they are proposed: where each is, what to read there, and what that will tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sunfleck.studies.meter.arm import WayIn
from sunfleck.studies.meter.prospect import Expected
from sunfleck.units import System

SCHEMA = 1


@dataclass(frozen=True)
class Narrowed:
    """How wide a verdict's range is, once this station and those before it are read.

    Attributes
    ----------
    id, words : str
        Of the verdict; what is judged, in a builder's words.
    before, after : float
        High end over low end of the range that holds nine of ten: before any reading, and now. [-]
    """

    id: str
    words: str
    before: float
    after: float


@dataclass(frozen=True)
class Station:
    """A marked measuring point.

    Attributes
    ----------
    number : int
        What stands on the mark.
    name : str
        In the plan.
    place : str
        Where, in a builder's words.
    at : (float, float, float)
        The sensor's place. [m]
    walls : tuple of str
        Distances from the walls, one direction each.
    hold : str
        How the sensor is held.
    way : WayIn or None
        Through which door it is reached; None where no door reaches it, or the plan has none.
    reads : tuple of str
        ``uvi``, ``lux``, ``surface``, ``air``.
    expected : tuple of Expected
        What the meters will show.
    narrowed : tuple of Narrowed
        What is known of each verdict once it is read; empty where no light is read.
    why : str
        Why here.
    kept : bool
        Whether the plan has it already.
    plan_hold, plan_note : str
        As they stand in the plan, or are to stand there; "" for a note that is to be made of place and readings.
    """

    number: int
    name: str
    place: str
    at: tuple[float, float, float]
    walls: tuple[str, ...]
    hold: str
    way: WayIn | None
    reads: tuple[str, ...]
    expected: tuple[Expected, ...]
    narrowed: tuple[Narrowed, ...]
    why: str
    kept: bool
    plan_hold: str = "up"
    plan_note: str = ""

    def to_dict(self, *, blind: bool = False) -> dict[str, Any]:
        """Return it as plain data for JSON; without what is expected for a blind check."""
        plain: dict[str, Any] = {
            "number": self.number,
            "name": self.name,
            "place": self.place,
            "at_m": list(self.at),
            "from_walls": list(self.walls),
            "hold": self.hold,
            "door": self.way.door if self.way else None,
            "arm_m": self.way.far if self.way else None,
            "read": list(self.reads),
            "why": self.why,
            "in_plan": self.kept,
            "narrowed": [
                {"id": each.id, "what": each.words, "before": each.before, "after": each.after}
                for each in self.narrowed
            ],
        }
        if not blind:
            plain["expected"] = [
                {
                    "what": each.what,
                    "unit": each.unit,
                    "low": each.low,
                    "expected": each.middle,
                    "high": each.high,
                    "when": each.when,
                }
                for each in self.expected
            ]
        return plain


@dataclass(frozen=True)
class StationPlan:
    """The stations of a plan.

    Attributes
    ----------
    plan : str
        The plan's name.
    system : str
        Units its owner reads.
    stations : tuple of Station
        Numbered from one, in the order in which they are read.
    meters : tuple of str
        With what light is read.
    lit : str
        Which lamps are on.
    looked_at, reached : int
        How many places were looked at, and how many of them an arm gets to.
    notes : tuple of str
        How the stations were chosen, and what could not be done.
    """

    plan: str
    system: System
    stations: tuple[Station, ...]
    meters: tuple[str, ...]
    lit: str
    looked_at: int
    reached: int
    notes: tuple[str, ...]

    def to_dict(self, *, blind: bool = False) -> dict[str, Any]:
        """Return it as plain data for JSON; without what is expected for a blind check."""
        return {
            "schema": SCHEMA,
            "plan": self.plan,
            "lit": self.lit,
            "meters": list(self.meters),
            "places_looked_at": self.looked_at,
            "places_reached": self.reached,
            "blind": blind,
            "stations": [station.to_dict(blind=blind) for station in self.stations],
            "notes": list(self.notes),
        }
