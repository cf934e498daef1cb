"""Quantities as a builder writes them, and back. SI inside, the user's units at this edge only."""

from sunfleck.units.parse import parse_clock, parse_quantity
from sunfleck.units.rewrite import length_like
from sunfleck.units.show import System, format_at_least, format_quantity
from sunfleck.units.table import UNITS, Kind, Unit, kinds, spellings

__all__ = [
    "UNITS",
    "Kind",
    "System",
    "Unit",
    "format_at_least",
    "format_quantity",
    "kinds",
    "length_like",
    "parse_clock",
    "parse_quantity",
    "spellings",
]
