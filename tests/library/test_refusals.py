"""The loader refuses what does not carry its credentials, and says everything at once."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sunfleck.errors import LibraryError
from sunfleck.library.loader import DATA, load_library

MESH = """
name: {value: test mesh, source: our own description, basis: derived}
pitch_u: {value: 10 mm, source: ruler, basis: measured}
pitch_v: {value: 10 mm, source: ruler, basis: measured}
wire: {value: 1 mm, source: ruler, basis: measured}
open_share: {value: 0.81, spread: {low: 0.05, high: 0.05}, source: arithmetic, basis: derived}
"""


@pytest.fixture
def extra(tmp_path: Path):
    """Write one file into a folder of the user's and load it."""

    def load(text: str | bytes, name: str = "meshes/test-mesh.yaml"):
        path = tmp_path / "more" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return load_library(tmp_path / "more")

    return load


def lamp(id_: str, **changes: object) -> str:
    """Write a bundled lamp with fields changed; None takes a field out."""
    data = yaml.safe_load((DATA / "lamps" / f"{id_}.yaml").read_text(encoding="utf-8"))
    for name, value in changes.items():
        if value is None:
            del data[name]
        else:
            data[name] = {"value": value, "source": "test", "basis": "measured"}
    return yaml.safe_dump(data)


def animal(id_: str, **changes: object) -> str:
    """Write a bundled animal with fields changed."""
    data = yaml.safe_load((DATA / "animals" / f"{id_}.yaml").read_text(encoding="utf-8"))
    for name, value in changes.items():
        data[name] = {"value": value, "source": "test", "basis": "measured"}
    return yaml.safe_dump(data)


def test_a_sound_file_of_the_user_is_taken(extra):
    """An entry with credentials joins the bundled ones and changes the hash."""
    library = extra(MESH)
    assert library.meshes["test-mesh"].wire.value == pytest.approx(1e-3, rel=1e-12)
    assert library.meshes["test-mesh"].wire.where == "library meshes/test-mesh: wire"
    assert set(load_library().meshes) < set(library.meshes)
    assert library.hash != load_library().hash


def test_a_file_of_the_user_takes_the_place_of_a_bundled_one(extra):
    """The same id means the same thing: the user's file stands."""
    library = extra(MESH, "meshes/aluminium-18x16.yaml")
    assert library.meshes["aluminium-18x16"].name.value == "test mesh"
    assert list(library.meshes) == list(load_library().meshes)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("source: ruler, basis: measured}\npitch_v", "basis: measured}\npitch_v", "pitch_u: has no source"),
        (", basis: measured}\npitch_v", "}\npitch_v", "pitch_u: has no basis"),
        ("source: ruler", "source: ''", "pitch_u: source '' is not a text"),
        (
            "basis: measured}\npitch_v",
            "basis: sure}\npitch_v",
            "pitch_u: basis 'sure' is not one of measured, ",
        ),
        (
            "{value: 10 mm, source: ruler, basis: measured}\npitch_v",
            "10 mm\npitch_v",
            "pitch_u: needs `value`",
        ),
        (
            "value: 10 mm, source: ruler, basis: measured}\npitch_v",
            "source: r, basis: measured}\npitch_v",
            "no value",
        ),
        ("pitch_u:", "pitch_w:", "pitch_w: unknown key; did you mean pitch_"),
        ("pitch_u:", "pitch_w:", "pitch_u: is missing"),
        ("source: ruler", "sauce: ruler", "pitch_u: sauce: unknown key; did you mean source?"),
        ("10 mm", "10 W", "pitch_u: '10 W' is not "),
        ("10 mm", "10", "pitch_u: '10' is not a length with its unit; try 30 cm"),
        ("10 mm", "nan mm", "pitch_u: 'nan mm' is not "),
        ("10 mm", "-10 mm", "pitch_u: '-10 mm' is not "),
        ("10 mm", "10 m", "pitch_u: '10 m' is not from 1e-05 to 0.1 m"),
        ("0.81", ".nan", "open_share: 'nan' is not a finite number"),
        ("0.81", ".inf", "open_share: 'inf' is not a finite number"),
        ("0.81", "1.2", "open_share: '1.2' is not from 0 to 1"),
        ("0.81", "true", "open_share: 'True' is not a plain number"),
        ("0.81", "0.66", r"open_share: 0.66 is not \(1 - wire/pitch_u\)\(1 - wire/pitch_v\) = 0.810"),
        ("{value: 1 mm", "{value: 12 mm", "wire: 0.012 m leaves nothing open at a pitch of 0.01 m"),
        ("spread: {low: 0.05, high: 0.05}, ", "", "open_share: has no spread"),
        ("{low: 0.05, high: 0.05}", "0.05", "open_share: spread needs `low` and `high`"),
        ("{low: 0.05, high: 0.05}", "{low: 0.05}", "open_share: spread needs `low` and `high`"),
        ("{low: 0.05, high", "{low: -0.05, high", "open_share: spread low -0.05 is not from 0 to 2"),
        ("{low: 0.05, high", "{low: .nan, high", "open_share: spread low nan is not a finite number"),
        ("name: {value: test mesh", "name: {value: 3", "name: '3' is not a text"),
        ("pitch_v:", "pitch_u:", "the key 'pitch_u' stands twice"),
        ("name: {", "name: {note: {a: {b: {c: {}}}}, ", "line 2: nested more than 4 deep"),
        ("name: {", "name: {note: [1], ", r"name: note \[1\] is not a text"),
        ("name: {", "name: {{", "not readable as YAML"),
    ],
)
def test_refused(extra, old: str, new: str, message: str):
    """Whatever is wrong is refused with the file, the key and what was wrong."""
    text = MESH.replace(old, new, 1)
    assert text != MESH
    with pytest.raises(LibraryError, match=message) as caught:
        extra(text)
    assert all(line.startswith("meshes/test-mesh.yaml: ") for line in str(caught.value).splitlines())


def test_aliases_are_refused(extra):
    """A value is written out where it stands."""
    text = MESH.replace("name: {", "name: &n {").replace(
        "pitch_v: {value: 10 mm, source: ruler, basis: measured}", "pitch_v: *n"
    )
    with pytest.raises(LibraryError, match="line 4: aliases are not used in the library"):
        extra(text)


def test_all_faults_of_all_files_come_at_once(tmp_path: Path):
    """One run names every fault of every file."""
    folder = tmp_path / "more"
    (folder / "meshes").mkdir(parents=True)
    (folder / "woods").mkdir()
    (folder / "wood").mkdir()
    wrong = MESH.replace("source: ruler, ", "").replace("10 mm", "10 W", 1)
    (folder / "meshes" / "one.yaml").write_text(wrong, encoding="utf-8")
    (folder / "woods" / "two.yaml").write_text("colour: red\n", encoding="utf-8")
    (folder / "woods" / "a,b.yaml").write_text("", encoding="utf-8")
    with pytest.raises(LibraryError) as caught:
        load_library(folder)
    lines = str(caught.value).splitlines()
    assert "meshes/one.yaml: pitch_u: has no source" in lines
    assert "meshes/one.yaml: pitch_v: has no source" in lines
    assert "meshes/one.yaml: wire: has no source" in lines
    assert any(line.startswith("meshes/one.yaml: pitch_u: '10 W' is not ") for line in lines)
    assert "woods/two.yaml: colour: unknown key" in lines
    assert "woods/two.yaml: use: is missing" in lines
    assert "woods/a,b.yaml: an id has small letters, digits, dots and dashes only" in lines
    assert any(line.startswith("wood: no such section; there are animals, lamps,") for line in lines)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (b"", "needs keys with values"),
        (b"- 1\n", "needs keys with values"),
        (b"\xff\xfe", "byte 0 is not UTF-8 text"),
        (b"name: !!python/object:os.system {}\n", "not readable as YAML"),
        (b"a: [" * 9000, "line 1: nested more than 4 deep"),
        (b"#" * 70000, "70000 bytes; a library file has at most 65536"),
    ],
)
def test_files_that_are_no_entries(extra, text: bytes, message: str):
    """Emptiness, other encodings, tags, depth and size are refused before anything is built."""
    with pytest.raises(LibraryError, match=f"^meshes/test-mesh.yaml: {message}"):
        extra(text)


def test_a_folder_that_is_not_there(tmp_path: Path):
    """A wrong path is not an empty library."""
    with pytest.raises(LibraryError, match="nowhere: is not a folder of library files"):
        load_library(tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("id_", "changes", "message"),
    [
        ("uv-t5-54w-reflector", {"glowing_length": None}, "glowing_length: is missing, and a tube needs it"),
        ("led-bar-24w-90cm", {"length": None}, "length: is missing, and a strip needs it"),
        ("halogen-reflector-50w-25deg", {"beam_angle": None}, "beam_angle: is missing, and a spot needs it"),
        ("halogen-reflector-50w-25deg", {"length": "9 cm"}, "length: a spot has none"),
        ("uv-t5-54w-reflector", {"field_angle": "30 deg"}, "field_angle: a tube has none"),
        (
            "halogen-reflector-50w-25deg",
            {"field_angle": "20 deg"},
            "beam_angle: 25 deg is not below the field_angle",
        ),
        (
            "uv-t5-54w-reflector",
            {"glowing_length": "1.2 m"},
            "glowing_length: 1.2 m is more than the length of 1.15",
        ),
        (
            "led-bar-24w-90cm",
            {"radiant_power": "25 W"},
            "radiant_power: 25 W is more than the input_power of 24 W",
        ),
        (
            "led-bar-24w-90cm",
            {"luminous_flux": "7600 lm"},
            "luminous_flux: more than 683 lm for each of its 11 W",
        ),
        (
            "led-bar-24w-90cm",
            {"heat_share_air": 0.3},
            "heat_share_air: 11 W radiated and 0.3 x 24 W of other heat are 18.2 W, not the input_power of 24 W",
        ),
        ("led-bar-24w-90cm", {"heat_share_air": 1.2}, "heat_share_air: '1.2' is not from 0 to 1"),
        ("led-bar-24w-90cm", {"heat_share_air": None}, "heat_share_air: is missing"),
        (
            "led-bar-24w-90cm",
            {"controllers": "pulse"},
            "controllers: 'pulse' is not one of any, on-off only, ",
        ),
        (
            "led-bar-24w-90cm",
            {"dimmable": True},
            "controllers: 'on-off only' contradicts a lamp that may be dimmed",
        ),
        (
            "halogen-reflector-50w-25deg",
            {"controllers": "timer only"},
            "controllers: 'timer only' contradicts a lamp",
        ),
        (
            "ceramic-heater-100w",
            {"controllers": "any"},
            "controllers: 'any' contradicts a lamp that may not be dimmed",
        ),
        ("uv-t5-54w-reflector", {"service_hours": "4400 h"}, "service_hours: '4400 h' is not a plain number"),
        ("uv-t5-54w-reflector", {"restrike_minutes": 90}, "restrike_minutes: '90' is not from 0.1 to 60"),
        ("led-bar-24w-90cm", {"uv_spread": 2}, "uv_spread: has no spread"),
        ("led-bar-24w-90cm", {"uv_spread": 2}, "uv_spread: '2' is not from 1 to 1"),
    ],
)
def test_a_lamp_that_contradicts_itself(extra, id_: str, changes: dict[str, object], message: str):
    """A lamp has what its kind needs, and gives no more than it takes."""
    with pytest.raises(LibraryError, match=f"lamps/x.yaml: {message}"):
        extra(lamp(id_, **changes), "lamps/x.yaml")


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"uv_floor": 5}, "uv_floor: 5 is not below the uv_comfort_ceiling of 5"),
        ({"uv_comfort_ceiling": 7}, "uv_comfort_ceiling: 7 lies above the uv_ceiling of 6"),
        ({"uv_retreat": 3}, "uv_retreat: 3 is not below the uv_floor of 3"),
        ({"uv_zone": 5}, "uv_zone: '5' is not from 1 to 4"),
        ({"uv_zone": 2.5}, "uv_zone: '2.5' is not a whole number"),
        (
            {"uv_zone_field_average": [2.6, 1.0]},
            r"uv_zone_field_average: .* the lower first; try \[1.0, 2.6\]",
        ),
        ({"uv_zone_field_average": 1.0}, "uv_zone_field_average: '1.0' is not two numbers"),
        ({"basking": "yes"}, "basking: 'yes' is not true or false"),
        ({"activity": "sleepy"}, "activity: 'sleepy' is not one of diurnal, nocturnal, crepuscular"),
        ({"head_width": "30 cm"}, "head_width: wider than head and body are long"),
    ],
)
def test_an_animal_that_contradicts_itself(extra, changes: dict[str, object], message: str):
    """Floor, comfort ceiling and ceiling stand in order; words are words of the list."""
    with pytest.raises(LibraryError, match=f"animals/x.yaml: {message}"):
        extra(animal("pogona-vitticeps", **changes), "animals/x.yaml")


def test_a_pane_cannot_let_through_what_its_faces_reflect(extra):
    """Reflection at both faces and transmission come to no more than one."""
    text = (DATA / "panes" / "glass-float.yaml").read_text(encoding="utf-8").replace("0.89", "0.93", 1)
    with pytest.raises(LibraryError, match=r"transmittance_visible: 0.93 is too much; .* 0.918 at most"):
        extra(text, "panes/x.yaml")


def test_a_bar_gap_is_pitch_less_wire(extra):
    """The gap that is held against the animal's head follows from the bars."""
    text = (DATA / "guards" / "guard-bar-12mm.yaml").read_text(encoding="utf-8").replace("10.4 mm", "9 mm")
    with pytest.raises(LibraryError, match=r"bar_gap: 0\.009 m is not pitch_u - wire = 0\.0104 m"):
        extra(text, "guards/x.yaml")


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda t: t.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_answered_with_a_library_error(extra, raw: bytes):
    """No bytes make the loader fail in another way than by saying what is wrong."""
    with pytest.raises(LibraryError, match=r"meshes/test-mesh\.yaml: "):
        extra(raw)
