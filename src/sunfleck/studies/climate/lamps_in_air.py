"""What a fluorescent lamp gives in the air that it burns in: less of its light in cold air, and in a hot hood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.brief.givens import Given, number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.library.entries import Lamp
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.in_air import LightInAir
from sunfleck.units import System, format_quantity

# What the library says a lamp loses, it loses so far off its best air. [K]
OFF = 20.0
# Such lamps are rated, and read on a bench, in air of 25 degC. [K]
RATED_IN = 298.15
# A parabola is no picture of a tube that hardly burns. [-]
LEAST = 0.3
# What is lost is told from here on. [-]
WORTH_TELLING = 0.05


def light_in_air(best: float, lost: float, air: float) -> float:
    """Share of its greatest light that a fluorescent lamp gives in air of a temperature, by a parabola.

    Parameters
    ----------
    best : float
        Air in which it gives most. [K]
    lost : float
        Share that it loses 20 K from there. [-]
    air : float
        Where it burns. [K]

    Returns
    -------
    share : float
        At least 0.3. [-]
    """
    return float(np.clip(1.0 - lost * ((air - best) / OFF) ** 2, LEAST, 1.0))


def light_in_seasons(model: ClimateModel, seasons: tuple[SeasonWorlds, ...]) -> LightInAir:
    """What each tube gives in the seasons of a plan, against what it is rated at.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    seasons : tuple of SeasonWorlds
        Its seasons.

    Returns
    -------
    in_air : LightInAir
        Of tubes whose light the library ties to their air; a tube whose UV was read in air that nobody wrote down
        is left out.
    """
    least: dict[str, Given] = {}
    most: dict[str, Given] = {}
    for fixture in model.brief.fixtures:
        if _known_in(fixture) is None:
            continue
        found = [given for worlds in seasons if (given := _share(model, fixture, worlds)) is not None]
        if found:
            least[fixture.name] = min(found, key=lambda given: given.value)
            most[fixture.name] = max(found, key=lambda given: given.value)
    return LightInAir(least, most)


def lamps_in_air(model: ClimateModel, seasons: tuple[SeasonWorlds, ...], system: System) -> Iterator[str]:
    """Yield what is lost or gained of the light of each tube, by season, where it is worth telling.

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
        Of each tube and season in which more than a twentieth is lost or gained.
    """
    for fixture in model.brief.fixtures:
        for worlds in seasons:
            given = _share(model, fixture, worlds)
            if given is None or abs(given.value - 1.0) <= WORTH_TELLING:
                continue
            known_in = _known_in(fixture)
            here, there = (
                format_quantity(kelvin, "temperature", system)
                for kelvin in (_air(model, fixture, worlds), known_in or RATED_IN)
            )
            change = "more" if given.value > 1.0 else "less"
            counted = (
                "not counted, because its readings do not say in what air they were taken (`air`)"
                if known_in is None
                else "counted in floors where it is least and in ceilings where it is most"
            )
            yield (
                f"{fixture.name} burns in air of {here} {worlds.season.words}: about {abs(given.value - 1.0):.0%} "
                f"{change} light and UV than in air of {there}, in which {_WHOSE[fixture.metered]}; {counted}"
            )


_WHOSE = {True: "it was read", False: "such lamps are rated"}


def _known_in(fixture: FixtureBrief) -> float | None:
    """Air in which what is taken of a lamp's UV holds; None where it was read in air that nobody wrote down. [K]"""
    if not fixture.metered:
        return RATED_IN
    airs = [reading.air for reading in fixture.fixture.evidence if reading.uvi is not None]
    known = [air for air in airs if air is not None]
    return float(np.mean(known)) if len(known) == len(airs) else None


def _air(model: ClimateModel, fixture: FixtureBrief, worlds: SeasonWorlds) -> float:
    """Air round a lamp in the hours of the day. [K]"""
    watts = model.watts[fixture.index]
    if not watts.inside:
        return worlds.season.warmth
    return float(worlds.middle.air_day @ model.column.weights_at(max(0.0, watts.height)))


def _share(model: ClimateModel, fixture: FixtureBrief, worlds: SeasonWorlds) -> Given | None:
    """Light of a tube in one season against that in the air it is rated in; None where air does not matter. [-]"""
    lamp: Lamp = fixture.lamp
    if lamp.best_air is None or lamp.lost_off_best_air is None:
        return None
    best, lost = number(lamp.best_air), number(lamp.lost_off_best_air)
    air, known_in = _air(model, fixture, worlds), _known_in(fixture) or RATED_IN
    system = model.brief.plan.show_units
    here, there = (format_quantity(kelvin, "temperature", system) for kelvin in (air, known_in))
    return Given(
        id=f"plan/fixtures/{fixture.index}/air/{worlds.season.key}",
        label=f"light of {fixture.name} in its air of {here} {worlds.season.words}, against air of {there}",
        value=light_in_air(best, lost, air) / light_in_air(best, lost, known_in),
        unit="",
        how="computed",
        source=f"a parabola through {lost:.0%} lost {OFF:.0f} K from its best air of "
        f"{format_quantity(best, 'temperature', system)}: {lamp.lost_off_best_air.source}",
        basis=lamp.lost_off_best_air.basis,
        where=lamp.best_air.where,
    )
