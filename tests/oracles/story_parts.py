"""What a story of practice consists of: a plan's text, claims about it, and what is asked of a report."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sunfleck.physics.bodies import SPECIFIC_HEAT, body_area, body_diameter
from sunfleck.physics.body_films import body_film
from sunfleck.physics.warming import time_constant, time_to_reach
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.report import Report

HEAD = "format: 1\nname: {name}\n"
WOOD = "  walls: {{default: {{material: plywood-birch, thickness: 18 mm, finish: plywood-sealed}}{more}}}\n"
GLASS = "  walls: {default: {material: glass-float, thickness: 5 mm}}\n"


@dataclass(frozen=True)
class Claim:
    """What practice says of a box, and whether the program says so.

    Attributes
    ----------
    words : str
        The claim.
    holds : callable or None
        Takes the report; None for what the program does not judge yet.
    known_to_differ : str
        Why the program says otherwise, where it is known to.
    """

    words: str
    holds: Callable[[Report], bool] | None
    known_to_differ: str = ""


@dataclass(frozen=True)
class HeatClaim:
    """What practice says of a box's heat, and whether the program says so.

    Attributes
    ----------
    words : str
        The claim.
    holds : callable
        Takes the climate report.
    tells : callable
        Takes it too; what the program says, in a few words.
    known_to_differ : str
        Why the program says otherwise, where it is known to.
    """

    words: str
    holds: Callable[[ClimateReport], bool]
    tells: Callable[[ClimateReport], str]
    known_to_differ: str = ""


@dataclass(frozen=True)
class Story:
    """A box, as a plan's text, and what is claimed of it."""

    name: str
    plan: str
    claims: tuple[Claim, ...]
    heat: tuple[HeatClaim, ...] = ()


ZERO = 273.15


def heat_of(report: ClimateReport, season: str, name: str) -> float:
    """A number of the heat balance of a season."""
    return next(b.number(name) for b in report.balances if b.key == season)


def state_of(report: ClimateReport, question: str) -> str:
    """State of a verdict, or "" where none is given."""
    return next((v.state for v in report.verdicts if v.id.startswith(f"{question}:")), "")


def celsius(report: ClimateReport, question: str, name: str) -> float:
    """A temperature of a verdict, as ``winter_expected``."""
    found = next(v for v in report.verdicts if v.id.startswith(f"{question}:"))
    return next(n.value for n in found.numbers if n.id.endswith(f".{name}")) - ZERO


def room(winter: float, summer: float, drop: float = 0.0, more: str = "") -> str:
    """The site of a plan. [degC], [K]"""
    return f"site: {{room: {{winter: {winter} degC, summer: {summer} degC, night_drop: {drop} K{more}}}}}\n"


def hatchling_minutes() -> float:
    """Minutes that 3 g of lizard take from 26 to 35 degC at an operative 45."""
    area = float(body_area(0.003, "lizard"))
    films = float(body_film(float(body_diameter(0.003, "lizard")), 10.0, 0.05)) + 6.0
    constant = time_constant(0.003, SPECIFIC_HEAT, area, films)
    return float(time_to_reach(26 + ZERO, 45 + ZERO, 35 + ZERO, constant)) / 60.0


def verdict(report: Report, question: str) -> str:
    """State of a verdict, or "" where none is given."""
    return next((v.state for v in report.verdicts if v.id.startswith(f"{question}:")), "")


def number(report: Report, id_: str) -> float:
    """A number of the report."""
    return report.numbers()[id_].value


def box(name: str, size: tuple[int, int, int], walls: str, animal: str, rest: str, site: str = "") -> str:
    """The text of a plan."""
    width, depth, height = size
    return (
        f"format: 1\nname: {name}\n{site}enclosure:\n  inside: {{width: {width} cm, depth: {depth} cm, height: {height} cm}}\n"
        f"{walls}animals: [{{{animal}}}]\n{rest}"
    )


def by_day(fixtures: str) -> str:
    """Lamps that a timer lights for twelve hours."""
    return fixtures.replace(", lamp: ", ', hours: ["08:00", "20:00"], lamp: ')


def wood(*, glass_front: bool = True) -> str:
    """Walls of plywood."""
    return WOOD.format(more=", front: {material: glass-float, thickness: 6 mm}" if glass_front else "")
