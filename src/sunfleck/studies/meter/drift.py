"""What a lamp may have changed since it was read on the bench: a factor that a meter round brings with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sunfleck.brief.build import Brief
from sunfleck.brief.draws import standard_normals
from sunfleck.brief.factors import SEED, Factor, FactorPower
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.studies.meter.meter_readings import MeterReading

SEED_OF_DRIFT = SEED + 3
# One standard deviation. Common practice, no source: a tube loses a tenth in its first 100 h and two thirds of a per
# cent in each 100 h more, runs in, sits in another holder, or is not the one that was read.
DRIFT = 0.20


def with_drift(brief: Brief, readings: Sequence[MeterReading] | None = None) -> Brief:
    """Return the same plan, its lamps no longer known to be as they were read.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    readings : sequence of MeterReading, optional
        Of the round: only lamps that were on when their kind of light was read may be found to have changed. All lamps
        when left out, as before a round.

    Returns
    -------
    brief : Brief
        A factor more for each kind of light of each lamp that the plan has readings of; the others' worlds stay.
    """
    added: list[Factor] = []
    fixtures = []
    for fixture in brief.fixtures:
        outputs = dict(fixture.outputs)
        for fitted in fixture.fitted:
            if readings is not None and not any(
                r.quantity == fitted.channel and fixture.name in r.lit for r in readings
            ):
                continue
            output = outputs[fitted.channel]
            power = FactorPower(len(brief.matrix.factors) + len(added))
            added.append(_drift(fixture, fitted.channel))
            outputs[fitted.channel] = replace(output, factors=(*output.factors, power))
        fixtures.append(replace(fixture, outputs=outputs))
    if not added:
        return brief
    normals = standard_normals(brief.matrix.rows, len(added), SEED_OF_DRIFT, shuffled=True)
    return replace(brief, fixtures=tuple(fixtures), matrix=brief.matrix.joined(tuple(added), normals))


def _drift(fixture: FixtureBrief, channel: str) -> Factor:
    return Factor(
        id=f"since:{fixture.index}:{channel}",
        label=f"what {fixture.name} has changed since it was read on its own",
        spread_low=DRIFT,
        spread_high=DRIFT,
        source="run in, aged, another holder or another lamp: 20 %",
        basis="common practice",
    )
