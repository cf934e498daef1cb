"""The drawings, data for replay and templates of one part of a plan, from its answer to files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sunfleck import __version__
from sunfleck.errors import DomainError
from sunfleck.outputs.passage_words import carried_words
from sunfleck.plan.read import PlanSource
from sunfleck.service import passage_files
from sunfleck.service.resolved import resolved
from sunfleck.studies.passage.scenes import Scene
from sunfleck.studies.passage.told import PartPassage


def draw_part(plan: PlanSource, part: PartPassage, folder: Path, *, dark: bool = False) -> list[Path]:
    """Write the way of a part as numbered drawings and as data for replay.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    part : PartPassage
        As :func:`sunfleck.passage` answered.
    folder : Path
        Where; made if it is not there.
    dark : bool
        The column for a dim room.

    Returns
    -------
    files : list of Path
        For the part, or for each piece of its first cut: ``STEM-steps.svg``, ``STEM-steps.pdf``, ``STEM-motion.json``.

    Raises
    ------
    DomainError
        If neither the part nor pieces of it have a way.
    SunfleckError
        If a file cannot be written or the drawing library is not installed.
    """
    if not part.goes and not part.cuts:
        way = "out" if part.direction == "out" else "in"
        msg = f"nothing is drawn of {part.name}: no way {way} is known, neither whole nor in pieces"
        raise DomainError(msg)
    name, system, out = plan.plan.name, plan.plan.show_units, part.direction == "out"
    stated = _stated(part)
    files: list[Path] = []
    for scene in resolved(plan).passage.scenes(part):
        assert scene.passage is not None, "what has a way has an answer"
        drawn = passage_files.drawn_motion(
            scene.name,
            name,
            scene.stage,
            scene.body,
            scene.passage,
            world=scene.world,
            out=out,
            carried=carried_words(scene.mass, scene.hands, scene.done, system),
            stated=stated,
        )
        stem = _stem(scene, out=out)
        files += passage_files.write_passage_drawings(drawn, folder, stem, system, dark=dark)
        files.append(
            passage_files.write_replay(
                scene.name, name, scene.stage, scene.body, scene.passage, folder, stem, out=out
            )
        )
    return files


def template_part(
    plan: PlanSource, part: PartPassage, folder: Path, refused: Callable[[str], None] | None = None
) -> list[Path]:
    """Write full-size templates of a part, or of the pieces it goes in as, and of the opening.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    part : PartPassage
        As :func:`sunfleck.passage` answered.
    folder : Path
        Where; made if it is not there.
    refused : callable, optional
        Told why there are no sheets of a part that takes too many of them: its DXF is written all the same. Without
        it that is raised.

    Returns
    -------
    files : list of Path
        ``STEM-template-part.pdf``, ``STEM-template-opening.pdf``, ``STEM-template.dxf``.

    Raises
    ------
    SunfleckError
        If a file cannot be written or the drawing library is not installed.
    """
    stated = _stated(part)
    files: list[Path] = []
    for scene in resolved(plan).passage.scenes(part):
        for kind in passage_files.TEMPLATE_FORMATS:
            try:
                files += passage_files.write_templates(
                    scene.name,
                    scene.stage,
                    scene.body,
                    scene.passage,
                    part.asked,
                    folder,
                    _stem(scene, out=False),
                    plan.plan.show_units,
                    formats=[kind],
                    stated=stated,
                )
            except DomainError as error:
                if refused is None or kind != "pdf":
                    raise
                refused(str(error))
    return files


def _stem(scene: Scene, *, out: bool) -> str:
    return f"{scene.name} out" if out else scene.name


def _stated(part: PartPassage) -> str:
    """The foot: the program, and what was taken for granted of the part."""
    return " ".join([*(f"Taken: {note}." for note in part.notes), f"Sunfleck {__version__}."])
