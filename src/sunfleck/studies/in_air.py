"""What lamps give in the air that they burn in, as light studies take it from the study of heat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sunfleck.brief.givens import Given


@dataclass(frozen=True)
class LightInAir:
    """Share of its rated light that each tube gives in the air of its season, by the fixture's name.

    Attributes
    ----------
    least : mapping of str to Given
        In the season in which it gives least: floors are judged in it. [-]
    most : mapping of str to Given
        In the season in which it gives most, for ceilings. [-]
    """

    least: Mapping[str, Given]
    most: Mapping[str, Given]


AS_RATED = LightInAir(MappingProxyType({}), MappingProxyType({}))
