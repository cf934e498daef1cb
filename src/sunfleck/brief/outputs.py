"""What a lamp puts out in each channel, from the library or from readings, with its uncertain factors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sunfleck.brief.evidence import Fitted, fit_readings
from sunfleck.brief.factors import Factor, FactorPower, FactorTable
from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.brief.shapes import below_the_middle
from sunfleck.library.entries import Lamp
from sunfleck.library.values import Sourced
from sunfleck.plan.beams import Beam
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.read import PlanSource

# Common practice, no source: a tube loses 10 % in its first 100 h.
RUN_IN = 0.10


@dataclass(frozen=True)
class Output:
    """What one fixture puts out in one channel, so that field = output x geometry [m-2].

    Attributes
    ----------
    parts : tuple of Given
        Numbers whose product is the output.
    factors : tuple of FactorPower
        Uncertain factors that multiply it.
    """

    parts: tuple[Given, ...]
    factors: tuple[FactorPower, ...]

    @property
    def value(self) -> float:
        """Product of the parts."""
        return float(np.prod([part.value for part in self.parts]))


def outputs_of(
    source: PlanSource, lamp: Lamp, index: int, table: FactorTable, beam: Beam | None = None
) -> tuple[dict[str, Output], tuple[Fitted, ...]]:
    """Return what a fixture puts out, by channel, and what was fitted to readings.

    Parameters
    ----------
    source : PlanSource
        The checked plan.
    lamp : Lamp
        What hangs there.
    index : int
        Which fixture. [-]
    table : FactorTable
        Collects its factors.
    beam : Beam, optional
        From a photometric file: its light takes the place of the library's, plant light in proportion.

    Returns
    -------
    outputs : dict of str to Output
        By channel; a channel the lamp does not have is left out.
    fitted : tuple of Fitted
        One for each channel that has readings.
    """
    collected = _Outputs(source, lamp, source.plan.fixtures[index], index, table, beam)
    return collected.by_channel(), tuple(collected.fitted)


class _Outputs:
    """Works out a fixture's outputs and the factors that belong to them."""

    def __init__(
        self,
        source: PlanSource,
        lamp: Lamp,
        fixture: Fixture,
        index: int,
        table: FactorTable,
        beam: Beam | None,
    ) -> None:
        self.source = source
        self.lamp = lamp
        self.fixture = fixture
        self.index = index
        self.table = table
        self.beam = beam
        self.fitted: list[Fitted] = []

    def by_channel(self) -> dict[str, Output]:
        outputs: dict[str, Output] = {}
        uv = self._uv()
        if uv is not None:
            outputs["uvi"] = uv
        for channel, field, label in (
            ("lux", "luminous_flux", "luminous flux"),
            ("ppfd", "photon_flux", "photon flux 400-700 nm"),
            ("radiant", "radiant_power", "radiant power"),
        ):
            sourced = getattr(self.lamp, field)
            flux: tuple[Given, ...] = ()
            if sourced is not None and number(sourced) > 0:
                flux = (given_from_library(f"lamps/{self.fixture.lamp}/{field}", label, sourced),)
                if channel in ("lux", "ppfd"):
                    flux += self._of_the_file()
            read = self._read("lux", flux, self.lamp.visible_spread) if channel == "lux" else None
            if read is not None:
                outputs[channel] = read
            elif flux:
                outputs[channel] = Output(flux, self._prior("visible"))
        return outputs

    def _of_the_file(self) -> tuple[Given, ...]:
        """What the file's light is to the library's; nothing without a file."""
        if self.beam is None:
            return ()
        given = Given(
            id=f"plan/fixtures/{self.index}/photometry",
            label="light of its photometric file over that of the library",
            value=self.beam.flux / number(self.lamp.luminous_flux),
            unit="",
            how="computed",
            source=f"{self.fixture.photometry} beside the plan: its table adds up to {self.beam.flux:,.0f} lm",
            basis="measured",
            where=self.source.line_of(("fixtures", self.index, "photometry")),
        )
        return (given,)

    def _uv(self) -> Output | None:
        parts = self._uv_of_class()
        metered = self._read("uvi", parts, self.lamp.uv_spread)
        if metered is not None or not parts:
            return metered
        return Output(parts, (*self._prior("uv"), *self._ageing()))

    def _uv_of_class(self) -> tuple[Given, ...]:
        """Numbers whose product is the UV of a lamp of this class; none where it gives no UV."""
        reference, distance = self.lamp.uvi_reference, self.lamp.uvi_reference_distance
        if reference is None or distance is None or number(reference) <= 0:
            return ()
        key = f"lamps/{self.fixture.lamp}"
        read = given_from_library(
            f"{key}/uvi_reference", f"UV index {100 * number(distance):.0f} cm below its middle", reference
        )
        geometry = below_the_middle(self.lamp, number(distance), beam=self.beam)
        back = Given(
            id=f"{key}/uvi_reference_geometry",
            label="one over the geometry of that reading",
            value=1 / geometry,
            unit="m2",
            how="computed",
            source="closed form of a diffuse line with this lamp's reflector, in the open",
            basis="derived",
            where=distance.where,
        )
        return (read, back, *self._faded(key))

    def _read(self, channel: str, of_class: tuple[Given, ...], spread: Sourced | None) -> Output | None:
        """The output fitted to the user's own readings, or None when there are none."""
        middle, spreads = None, (0.0, 0.0)
        if of_class and spread is not None:
            piece = self.lamp.piece_spread
            middle = float(np.prod([part.value for part in of_class]))
            spreads = (
                float(np.hypot(spread.spread_low, piece.spread_low)),
                float(np.hypot(spread.spread_high, piece.spread_high)),
            )
        fitted = fit_readings(
            self.source, self.lamp, self.index, channel, self.table, self.beam, middle, spreads
        )
        if fitted is None:
            return None
        self.fitted.append(fitted)
        return Output(fitted.parts, fitted.factors)

    def _hundreds(self) -> float | None:
        """Hundreds of hours the lamp has burned beyond the first; None where nothing is stated or it does not fade."""
        if self.lamp.uv_fading is None or self.fixture.age is None:
            return None
        return self.fixture.age / 3600.0 / 100.0 - 1.0

    def _faded(self, key: str) -> tuple[Given, ...]:
        """What is left after the hours the plan states; nothing where it states none."""
        fading, hundreds = self.lamp.uv_fading, self._hundreds()
        if fading is None or hundreds is None:
            return ()
        rate = number(fading)
        left = float(np.exp(-rate * hundreds)) if hundreds >= 0 else 1.0 - RUN_IN * hundreds
        given = Given(
            id=f"{key}/uv_fading",
            label=f"UV left after {100 * (hundreds + 1):,.0f} h, against that after 100 h",
            value=left,
            unit="",
            how="computed",
            source=f"{rate:.2%} lost in every 100 h after the first, in which 10 % are: {fading.source}",
            basis=fading.basis,
            where=self.source.line_of(("fixtures", self.index, "age")),
        )
        return (given,)

    def _ageing(self) -> tuple[FactorPower, ...]:
        """The factor of what is left after the hours the plan states."""
        fading, hundreds = self.lamp.uv_fading, self._hundreds()
        if fading is None or hundreds is None:
            return ()
        # Where the share lost is uncertain by s, what is left is by s times the loss.
        lost = abs(number(fading) * hundreds)
        factor = Factor(
            id=f"ageing:{self.index}",
            label=f"how fast {self.fixture.name} fades",
            spread_low=lost * fading.spread_high,
            spread_high=lost * fading.spread_low,
            source=fading.source,
            basis=fading.basis,
        )
        return (FactorPower(self.table.add(factor)),)

    def _prior(self, group: str) -> tuple[FactorPower, ...]:
        lamp_class = str(self.lamp.lamp_class.value)
        spread = self.lamp.uv_spread if group == "uv" else self.lamp.visible_spread
        what = "UV" if group == "uv" else "light and heat"
        shared = Factor(
            id=f"class:{lamp_class}:{group}",
            label=f"{what} of lamps of this class ({lamp_class}) against the library's middle value",
            spread_low=spread.spread_low,
            spread_high=spread.spread_high,
            source=spread.source,
            basis=spread.basis,
        )
        piece = Factor(
            id=f"piece:{self.index}:{group}",
            label=f"{what} of this one lamp against its class ({self.fixture.name})",
            spread_low=self.lamp.piece_spread.spread_low,
            spread_high=self.lamp.piece_spread.spread_high,
            source=self.lamp.piece_spread.source,
            basis=self.lamp.piece_spread.basis,
        )
        return (FactorPower(self.table.add(shared)), FactorPower(self.table.add(piece)))
