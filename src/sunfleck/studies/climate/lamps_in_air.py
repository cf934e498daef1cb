"""What a fluorescent lamp gives in the air that it burns in: less of its light in cold air, and in a hot hood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.units import System, format_quantity

# Light is greatest in air of 35 degC and a quarter less 20 K colder (from memory: reference to T5 tubes of high output;
# T8 have their greatest at 25). Taken alike on the warm side. [K], [-]
BEST = {"t5": 308.15, "t8": 298.15}
COLDER, LOST = 20.0, 0.25
RATED_IN = 298.15
# What is lost is told from here on. [-]
WORTH_TELLING = 0.05


def light_in_air(best: float, air: float) -> float:
    """Share of its greatest light that a fluorescent lamp gives in air of a temperature, by a parabola. [-]"""
    return float(np.clip(1.0 - LOST * ((air - best) / COLDER) ** 2, 0.3, 1.0))


def lamps_in_air(model: ClimateModel, seasons: tuple[SeasonWorlds, ...], system: System) -> Iterator[str]:
    """Yield what is lost of the light of each fluorescent lamp, by season.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    seasons : tuple of SeasonWorlds
        Its seasons.
    system : str
        Units that its owner reads.

    Yields
    ------
    words : str
        Of each lamp and season in which more than a twentieth is lost against the air of 25 degC in which such lamps
        are rated and read.
    """
    for watts, fixture in zip(model.watts, model.brief.fixtures, strict=True):
        kind = next((k for k in BEST if f"-{k}-" in f"-{fixture.fixture.lamp}-"), None)
        if kind is None:
            continue
        rated = light_in_air(BEST[kind], RATED_IN)
        for worlds in seasons:
            air = worlds.season.warmth
            if watts.inside:
                weights = model.column.weights_at(max(0.0, watts.height))
                air = float(worlds.middle.air_day @ weights)
            share = light_in_air(BEST[kind], air) / rated
            if abs(share - 1.0) > WORTH_TELLING:
                shown = format_quantity(air, "temperature", system)
                change = "more" if share > 1.0 else "less"
                burns = f"{watts.fixture} burns in air of {shown} {worlds.season.words}"
                yield (
                    f"{burns}: about {abs(share - 1.0):.0%} {change} light and UV than in air of "
                    f"{format_quantity(RATED_IN, 'temperature', system)}, in which such lamps "
                    "are read; the UV verdicts do not know it, a reading there does"
                )
