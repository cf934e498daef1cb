"""The values that nobody measured for this program, and what would settle each."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.library.loader import Library
from sunfleck.library.values import UNSETTLED, Sourced

OWN_METER = "readings of several new lamps with a calibrated meter, 30 cm below, warmed up, after 100 h"
EMISSOMETER = "an emissometer, or an infrared thermometer on a piece with matt black tape on half of it"
SPECTROMETER = "a spectrophotometer with an integrating sphere on a sample"
PHOTOMETRIC_FILE = "the maker's photometric file (IES LM-63 or EULUMDAT), or a goniometer run"
SPHERE = "an integrating-sphere report of the lamp"
RULER = "a ruler on the lamp in hand"
SCALES = "the animal on scales; weights of adults in a published data set"
TAPE = "the animal against a ruler; measurements of adults in a published data set"
ZONES = "the published table of species by zone (S5 Baines et al. 2016), which was not seen"
CEILING = (
    "published exposures of animals under lamps; until then the keeper's own decision, stated in the plan"
)
BEHAVIOUR = "a natural history or a zoo's husbandry guideline for the species"

ANYTHING = "a measurement, or a published figure"

SETTLED_BY: dict[str, str] = {
    "animals/common_name": BEHAVIOUR,
    "animals/activity": BEHAVIOUR,
    "animals/basking": BEHAVIOUR,
    "animals/snout_vent_typical": TAPE,
    "animals/back_height": TAPE,
    "animals/full_stretch": TAPE,
    "animals/leap": "film of the animal in front of a scale; a study of jumping in the species",
    "animals/reach_class": BEHAVIOUR,
    "animals/uv_zone": ZONES,
    "animals/uv_floor": ZONES,
    "animals/uv_comfort_ceiling": CEILING,
    "animals/uv_ceiling": CEILING,
    "animals/uv_retreat": "the resolution and zero of the meter that is used",
    "animals/head_width": TAPE,
    "animals/mass_typical": SCALES,
    "lamps/diameter": RULER,
    "lamps/length": RULER,
    "lamps/glowing_length": RULER,
    "lamps/cut_off": PHOTOMETRIC_FILE,
    "lamps/field_angle": PHOTOMETRIC_FILE,
    "lamps/luminous_flux": SPHERE,
    "lamps/photon_flux": SPHERE,
    "lamps/radiant_power": "a thermopile traverse below the lamp, or a measured heat balance",
    "lamps/uvi_reference": OWN_METER,
    "lamps/uvi_reference_distance": OWN_METER,
    "lamps/uv_spread": OWN_METER,
    "lamps/visible_spread": "sphere reports of several lamps of the class",
    "lamps/piece_spread": "readings of several lamps of one make with one meter",
    "lamps/uv_fading": "readings of one lamp with one meter, a few hundred hours apart",
    "lamps/dimmable": "the maker's instructions",
    "lamps/housing_hot": "a surface thermometer after an hour, or the maker's instructions",
    "lamps/least_distance": "the maker's instructions: least distance to lighted objects",
    "meshes/wire": "a micrometer on the mesh in hand",
    "meshes/open_share": "one reading with and one without the mesh",
    "guards/pitch_u": RULER,
    "guards/pitch_v": RULER,
    "guards/wire": "a micrometer on the guard in hand",
    "guards/bar_gap": "feeler gauge or ruler between the bars",
    "guards/stand_off": RULER,
    "guards/open_share": "one reading with and one without the guard",
    "panes/transmittance_visible": "one reading with and one without the pane, with a lux meter",
    "panes/transmittance_radiant": "the maker's solar data (EN 410), or a thermopile behind the pane",
    "panes/transmittance_long_wave": "a thermopile behind the pane under a ceramic heater",
    "panes/emissivity": EMISSOMETER,
    "panes/refractive_index": "the maker's data sheet",
    "finishes/reflectance_uv": SPECTROMETER,
    "finishes/reflectance_visible": SPECTROMETER,
    "finishes/reflectance_radiant": SPECTROMETER,
    "finishes/emissivity": EMISSOMETER,
    "finishes/rough": "watching the animal on a sample set upright",
    "woods/density": "a dried piece on scales and in water",
    "woods/reflectance_uv": SPECTROMETER,
    "woods/reflectance_visible": SPECTROMETER,
    "woods/reflectance_radiant": SPECTROMETER,
    "woods/emissivity": EMISSOMETER,
    "woods/rough": "watching the animal on the limb",
    "materials/density": "a sheet on scales",
}
"""What would settle a value, by section and field."""


@dataclass(frozen=True, slots=True)
class UnsettledValue:
    """A value that rests on memory or on common practice.

    Attributes
    ----------
    key : str
        ``section/id/field``.
    value : Sourced
        The value itself.
    settled_by : str
        What would replace it by something better.
    """

    key: str
    value: Sourced
    settled_by: str


def unsettled(library: Library) -> tuple[UnsettledValue, ...]:
    """List the values that rest on memory or on common practice.

    Parameters
    ----------
    library : Library
        A library.

    Returns
    -------
    values : tuple of UnsettledValue
        In the order of their keys within each section.

    """
    found = []
    for key, value in library.values():
        if value.basis in UNSETTLED:
            section, _, field = key.split("/")
            found.append(UnsettledValue(key, value, SETTLED_BY.get(f"{section}/{field}", ANYTHING)))
    return tuple(found)


def unsettled_table(library: Library) -> str:
    """Return the list as a table in Markdown, one line for each value.

    Parameters
    ----------
    library : Library
        A library.

    Returns
    -------
    table : str
        Heading, rule and lines, ending with a line break.
    """
    lines = ["| value | basis | what would settle it |", "|---|---|---|"]
    lines += [f"| `{item.key}` | {item.value.basis} | {item.settled_by} |" for item in unsettled(library)]
    return "\n".join(lines) + "\n"
