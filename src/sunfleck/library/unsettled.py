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
HUSBANDRY = "a zoo's husbandry guideline, or a climate record of where the species lives; until then the keeper's decision"
GRADIENT = "a published study of the species in a thermal gradient"
BEHAVIOUR = "a natural history or a zoo's husbandry guideline for the species"

# So few ids are named even where they are all there are.
SHORT_LIST = 4
ANYTHING = "a measurement, or a published figure"

CHECKLIST = "a botanical checklist of accepted names"
GARDEN = "a botanical garden's sheet on the species, or the plant itself grown in such a place"
PLANT_READINGS = "plants of it grown for months under stated light, read with a quantum meter"
POISON = "a veterinary toxicologist; reports of reptiles that ate it"
POROMETER = "a porometer, or a pot of known volume weighed dry, full, drained"
FOREST_BOOK = "the tables of the Wood Handbook itself"
DATA_SHEET = "the maker's data sheet"
HEAT_TABLE = "the maker's data sheet, or EN ISO 10456 itself"

AUTHORITY = "the text of the law or report itself; the authority where the enclosure stands"
SPACE_RULE = ("kind", "place", "year", "applies_to", "animals", "unit_length", "length_factor", "width_factor",
              "height_factor", "length", "width", "height")  # fmt: skip

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
    "animals/kind": BEHAVIOUR,
    "animals/family": "a taxonomic data base",
    "animals/diet": BEHAVIOUR,
    "animals/keeping": BEHAVIOUR,
    "animals/breeding": BEHAVIOUR,
    "animals/total_length_typical": TAPE,
    "animals/hatchling_length": TAPE,
    "animals/basking_spot": HUSBANDRY,
    "animals/warm_end": HUSBANDRY,
    "animals/cool_end": HUSBANDRY,
    "animals/night": HUSBANDRY,
    "animals/alarm_above": HUSBANDRY,
    "animals/preferred_body": GRADIENT,
    "animals/voluntary_body": GRADIENT,
    "animals/humidity_day": HUSBANDRY,
    "animals/humidity_night": HUSBANDRY,
    "animals/dries_to": HUSBANDRY,
    **{f"space_rules/{field}": AUTHORITY for field in SPACE_RULE},
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
    "lamps/beam_angle": PHOTOMETRIC_FILE,
    "lamps/heat_share_air": "a measured heat balance, or the maker's figures",
    "lamps/dimmable": "the maker's instructions",
    "lamps/controllers": "the maker's instructions",
    "lamps/service_hours": "readings of one lamp with one meter over its life, or the maker's rated life",
    "lamps/lost_off_best_air": "one lamp and one meter, in a cold room and in a warm one",
    "lamps/restrike_minutes": "a stop-watch: switched off when hot, and on again",
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
    "panes/transmittance_uv": "one reading with and one without the pane, with a UV-index meter, under the lamp it is for",
    "panes/density": DATA_SHEET,
    "panes/thermal_conductivity": DATA_SHEET,
    "panes/specific_heat": HEAT_TABLE,
    "panes/elastic_modulus": DATA_SHEET,
    "panes/safe_temperature": DATA_SHEET,
    "woods/use": "a veterinary toxicologist, or records of animals kept with it",
    "woods/hazard": "a handbook of wood toxicity",
    "woods/caution": "a handbook of wood toxicity",
    "woods/lasts_wet": FOREST_BOOK,
    "woods/elastic_modulus": FOREST_BOOK,
    "woods/working_stress": "limbs of it loaded until they break, and a factor of safety",
    "woods/density": "a dried piece on scales and in water",
    "woods/reflectance_uv": SPECTROMETER,
    "woods/reflectance_visible": SPECTROMETER,
    "woods/reflectance_radiant": SPECTROMETER,
    "woods/emissivity": EMISSOMETER,
    "woods/rough": "watching the animal on the limb",
    "materials/density": "a sheet on scales",
    "materials/thermal_conductivity": DATA_SHEET,
    "materials/specific_heat": HEAT_TABLE,
    "materials/elastic_modulus": "a strip of it on two supports, loaded in the middle",
    "materials/safe_temperature": DATA_SHEET,
    "materials/airing_time": DATA_SHEET,
    "materials/caution": DATA_SHEET,
    "plants/species": CHECKLIST,
    "plants/common_name": CHECKLIST,
    "plants/climate": GARDEN,
    "plants/habit": GARDEN,
    "plants/rooting": GARDEN,
    "plants/light_to_hold": PLANT_READINGS,
    "plants/light_to_grow": PLANT_READINGS,
    "plants/light_to_colour": PLANT_READINGS,
    "plants/least_humidity": GARDEN,
    "plants/mature_height": GARDEN,
    "plants/mature_spread": GARDEN,
    "plants/root_depth": GARDEN,
    "plants/growth": GARDEN,
    "plants/toxicity": POISON,
    "plants/toxin": POISON,
    "plants/toxic_to": POISON,
    "plants/sharp": GARDEN,
    "substrates/dry_density": POROMETER,
    "substrates/water_capacity": POROMETER,
    "substrates/air_filled": POROMETER,
    "substrates/total_pores": POROMETER,
    "substrates/wet_density": POROMETER,
    "substrates/settling": "a ruler at the pane, on the first day and after three months",
    "substrates/handling": "a grower's handbook",
    "fans/flow": "the maker's curve of flow over pressure, or an anemometer over the opening",
    "fans/input_power": "a meter at the plug",
    "coolers/drop": "two thermometers, before and behind, with a hygrometer",
    "coolers/cooling_power": DATA_SHEET,
    "coolers/input_power": DATA_SHEET,
    "foggers/output": "a measuring jug and a clock",
    "foggers/droplet": DATA_SHEET,
    "foggers/input_power": "a meter at the plug",
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
    """Return the list as a table in Markdown: values of one field and basis in a line, by the ids of their entries.

    Parameters
    ----------
    library : Library
        A library.

    Returns
    -------
    table : str
        Heading, rule and lines, ending with a line break.
    """
    grouped: dict[tuple[str, str, str], list[str]] = {}
    for item in unsettled(library):
        section, id_, field = item.key.split("/")
        grouped.setdefault((f"{section}/{field}", item.value.basis, item.settled_by), []).append(id_)
    lines = ["| field | basis | of | what would settle it |", "|---|---|---|---|"]
    for (field, basis, settled_by), ids in sorted(grouped.items()):
        whole = len(ids) == len(getattr(library, field.split("/")[0])) and len(ids) > SHORT_LIST
        told = f"all {len(ids)}" if whole else ", ".join(f"`{id_}`" for id_ in ids)
        lines.append(f"| `{field}` | {basis} | {told} | {settled_by} |")
    return "\n".join(lines) + "\n"
