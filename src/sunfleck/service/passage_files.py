"""The files of a passage: drawings of its motion, the same for replay, templates to try with cardboard."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from sunfleck.errors import DomainError, SunfleckError
from sunfleck.geometry.passage.answer import Passage
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.stage import Stage
from sunfleck.geometry.passage.steps import steps_of, with_room
from sunfleck.outputs.cardboard import Template, opening_template, part_template, side_by_side
from sunfleck.outputs.cardboard_pages import template_pages
from sunfleck.outputs.drawing_library import require_drawing_library
from sunfleck.outputs.dxf import dxf_text
from sunfleck.outputs.passage_drawings import Drawn, passage_column, passage_sheets
from sunfleck.outputs.pictures import replace_with
from sunfleck.outputs.replay_data import Replay, replay_of, replay_text
from sunfleck.outputs.themes import theme
from sunfleck.units import System

DRAWING_FORMATS = ("svg", "pdf")
TEMPLATE_FORMATS = ("pdf", "dxf")
# Names that one system keeps for its devices.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")
LONGEST_NAME = 60
# A file for replay is some hundred kilobytes; more than this is something else. [bytes]
LARGEST_REPLAY = 50_000_000


def safe_name(words: str) -> str:
    """Return a name that every system takes for a file: letters without accents, digits, hyphens.

    Examples
    --------
    >>> safe_name("Rückwand 2/3, links"), safe_name("../.."), safe_name("CON")
    ('ruckwand-2-3-links', 'part', 'part-con')
    """
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:LONGEST_NAME].strip("-") or "part"
    return f"part-{name}" if _DEVICES.match(name) else name


def drawn_motion(
    name: str,
    plan: str,
    stage: Stage,
    body: Body,
    passage: Passage,
    *,
    world: World | None = None,
    out: bool = False,
    carried: str = "",
    stated: str = "",
) -> Drawn:
    """Gather what the drawings of a passage show.

    Parameters
    ----------
    name : str
        Of the part. [-]
    plan : str
        Name of the plan. [-]
    stage : Stage
        The box as the question took it. [m]
    body : Body
        What goes in. [-]
    passage : Passage
        The answer; with a motion. [-]
    world : World, optional
        The box in layers as the question took it; as the stage has it when left out. [-]
    out : bool
        The way out instead of the way in. [-]
    carried : str
        Who carries what, as a sentence; may be empty. [-]
    stated : str
        The foot. [-]

    Returns
    -------
    drawn : Drawn
        With the room beside the part measured for each step.

    Raises
    ------
    DomainError
        If the passage has no motion.
    """
    motion = _motion_of(passage, name)
    motion = motion.backwards() if out else motion
    layers = stage.world() if world is None else world
    steps = with_room(steps_of(motion), motion, body, layers, passage.way, passage.certified)
    through = f" through {passage.way if passage.way.startswith('the ') else f'the {passage.way}'}"
    way = f", {'out' if out else 'in'}{through if passage.way else ''}"
    return Drawn(f"{name}{way}", plan, stage, body, motion, steps, carried, stated)


def write_passage_drawings(
    drawn: Drawn,
    folder: Path,
    stem: str,
    system: System,
    *,
    dark: bool = False,
    formats: Sequence[str] = DRAWING_FORMATS,
) -> list[Path]:
    """Write a motion as numbered drawings.

    Parameters
    ----------
    drawn : Drawn
        The motion. [-]
    folder : Path
        Where; made if it is not there. [-]
    stem : str
        The files' name without ending; made safe. [-]
    system : str
        ``metric`` or ``us``. [-]
    dark : bool
        The column for a dim room; sheets are always white. [-]
    formats : sequence of str
        ``svg``: a column for a phone; ``pdf``: lying sheets. [-]

    Returns
    -------
    files : list of Path
        As written.

    Raises
    ------
    SunfleckError
        If a format is another, a file cannot be written or matplotlib is not installed.
    """
    _require(formats, DRAWING_FORMATS)
    require_drawing_library()
    makers: dict[str, Callable[[], bytes]] = {
        "svg": lambda: passage_column(drawn, system, theme(dark=dark)),
        "pdf": lambda: passage_sheets(drawn, system),
    }
    return [_written(folder, f"{safe_name(stem)}-steps.{kind}", makers[kind]()) for kind in formats]


def write_replay(
    name: str,
    plan: str,
    stage: Stage,
    body: Body,
    passage: Passage,
    folder: Path,
    stem: str,
    *,
    out: bool = False,
) -> Path:
    """Write a motion as data for replay.

    Parameters
    ----------
    name, plan : str
        Of the part and of the plan. [-]
    stage : Stage
        The box. [m]
    body : Body
        What goes in. [-]
    passage : Passage
        The answer; with a motion. [-]
    folder : Path
        Where; made if it is not there. [-]
    stem : str
        The file's name without ending; made safe. [-]
    out : bool
        The way out instead of the way in. [-]

    Returns
    -------
    file : Path
        ``STEM-motion.json``.

    Raises
    ------
    SunfleckError
        If the passage has no motion, or the file cannot be written.
    """
    motion = _motion_of(passage, name)
    replay = Replay(
        name, plan, passage.way, passage.certified, body, stage, motion.backwards() if out else motion
    )
    return _written(folder, f"{safe_name(stem)}-motion.json", replay_text(replay).encode("utf-8"))


def read_replay(file: Path) -> Replay:
    """Read a motion that was written for replay.

    Parameters
    ----------
    file : Path
        As `write_replay` made it. [-]

    Returns
    -------
    replay : Replay
        The same motion.

    Raises
    ------
    SunfleckError
        If it cannot be read or holds something else.
    """
    try:
        if file.stat().st_size > LARGEST_REPLAY:
            msg = f"{file} is larger than {LARGEST_REPLAY // 1_000_000} MB; that is no file for replay"
            raise SunfleckError(msg)
        return replay_of(file.read_text(encoding="utf-8"))
    except OSError as error:
        msg = f"cannot read {file}: {error.strerror or error}"
        raise SunfleckError(msg) from error
    except UnicodeDecodeError as error:
        msg = f"cannot read {file}: it is not text in UTF-8"
        raise SunfleckError(msg) from error
    except DomainError as error:
        msg = f"{file}: {error}"
        raise SunfleckError(msg) from error


def write_templates(
    name: str,
    stage: Stage,
    body: Body,
    passage: Passage | None,
    clearance: float,
    folder: Path,
    stem: str,
    system: System,
    *,
    formats: Sequence[str] = TEMPLATE_FORMATS,
    stated: str = "",
) -> list[Path]:
    """Write full-size templates of a part and of the opening it goes through.

    Parameters
    ----------
    name : str
        Of the part. [-]
    stage : Stage
        The box. [m]
    body : Body
        What is to go in. [-]
    passage : Passage or None
        The answer, if there is one: what goes in first is marked, and only its opening is drawn. [-]
    clearance : float
        What must stay free on every side of the opening. [m]
    folder : Path
        Where; made if it is not there. [-]
    stem : str
        The files' name without ending; made safe. [-]
    system : str
        ``metric`` (A4) or ``us`` (letter). [-]
    formats : sequence of str
        ``pdf``: sheets to tape together, a file for the part and one for each opening; ``dxf``: one
        drawing with all of them. [-]
    stated : str
        The foot of the sheets' plan. [-]

    Returns
    -------
    files : list of Path
        As written.

    Raises
    ------
    SunfleckError
        If a format is another, a template takes more than 300 sheets, a file cannot be written or,
        for sheets, matplotlib is not installed.
    """
    _require(formats, TEMPLATE_FORMATS)
    motion = None if passage is None else passage.motion
    way = "" if passage is None or motion is None else passage.way
    chosen = [each for each in stage.openings if each.name == way] or list(stage.openings)
    # An opening with two leaves stands there twice.
    chosen = list({(each.at, each.size): each for each in chosen}.values())
    templates: list[tuple[str, Template]] = [("part", part_template(name, body, system, stage, motion))]
    templates += [
        (f"opening-{k}" if len(chosen) > 1 else "opening", opening_template(stage, each, clearance, system))
        for k, each in enumerate(chosen, start=1)
    ]
    safe = safe_name(stem)
    files = []
    for kind in formats:
        if kind == "dxf":
            text = dxf_text(side_by_side([template for _, template in templates]))
            files.append(_written(folder, f"{safe}-template.dxf", text.encode("ascii")))
            continue
        require_drawing_library()
        # All are made before one is written, so that a refusal leaves nothing half done.
        pages = [(word, template_pages(template, system, stated)) for word, template in templates]
        files += [_written(folder, f"{safe}-template-{word}.pdf", content) for word, content in pages]
    return files


def _motion_of(passage: Passage, name: str) -> Motion:
    if passage.motion is None:
        msg = f"{name}: only what goes in has a motion to draw; the answer was: {passage.verdict}"
        raise DomainError(msg)
    return passage.motion


def _require(formats: Iterable[str], known: Sequence[str]) -> None:
    for kind in formats:
        if kind not in known:
            msg = f"format must be one of {', '.join(known)}; got {kind!r}"
            raise DomainError(msg)


def _written(folder: Path, name: str, content: bytes) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return replace_with(folder / name, content)
    except OSError as error:
        msg = f"cannot write {folder / name}: {error.strerror or error}; name a folder you may write to"
        raise SunfleckError(msg) from error
