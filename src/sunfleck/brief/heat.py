"""What nobody knows of an enclosure's heat: named factors, in a block of the matrix of their own."""

from __future__ import annotations

from sunfleck.brief.factors import ROWS, SEED, Factor, FactorMatrix

# The block is drawn apart from that of light, so that light's numbers do not change with heat's factors; row by row
# both are one world.
SEED_OF_HEAT = SEED + 1
SHIFTS = ("room", "place", "near")
FITTED = "fitted to a flow computation of one box, good on four others to 0.15-0.6 K; computed, not measured"


HANDBOOK = "handbook laws hold to 20 %"
LEFT_OUT = (
    "layers and surfaces of even temperature, dry air; held against computed flows, not yet against readings"
)
BESIDE = "probes that keepers hang at the warm end read some kelvin more than level layers of air"
PLACES = "air of one height differs from place to place, nine times of ten by no more than 1 K in shade"
SPREADS = (
    ("entrainment", 0.15, "how fast rising warm air takes air in", FITTED),
    ("origin", 0.40, "how wide rising warm air is where it begins", FITTED),
    ("mixing", 0.45, "how well layers of air mix", FITTED),
    ("films", 0.15, "how well surfaces pass heat to the air inside", HANDBOOK),
    (
        "outer",
        0.15,
        "how well the outside of the box passes heat to the room",
        "draughts, neighbours, walls behind",
    ),
    (
        "walls",
        0.12,
        "how well walls and panes conduct",
        "boards of one name differ; joints and frames conduct",
    ),
    ("leaks", 0.40, "how wide vents and gaps are for the air", "dust, meshes, strips and laps of doors"),
    ("ground", 0.30, "how well the ground conducts and stores heat", "mixes and their water differ"),
    (
        "sun",
        0.25,
        "how much sun comes through the window",
        "haze, trees, curtains, glazing; a simple cloudless sky",
    ),
    ("rise", 0.15, "what the model leaves out of how much warmer than the room it gets", LEFT_OUT),
    ("place", 0.6, "how much one place differs from its layer", PLACES),
    ("near", 2.5, "how much warmer the air is beside what lamps warm than in its layer", BESIDE),
    (
        "room",
        0.6,
        "how much warmer the room is than written",
        "within 1 K nine times of ten where the box stands",
    ),
)
"""Name, one standard deviation, what it stands for and where the spread comes from."""


def heat_factors() -> dict[str, Factor]:
    """Factors of heat by name."""
    found = {}
    for name, spread, label, source in SPREADS:
        shift = name in SHIFTS
        basis = "derived" if source == FITTED else "common practice"
        unit = "K" if shift else ""
        found[name] = Factor(f"heat:{name}", label, spread, spread, source, basis, shift=shift, unit=unit)
    return found


def heat_matrix(rows: int = ROWS) -> FactorMatrix:
    """Draw the factors of heat, a row for each of the worlds of light."""
    return FactorMatrix.draw(tuple(heat_factors().values()), rows, SEED_OF_HEAT, beside=True)
