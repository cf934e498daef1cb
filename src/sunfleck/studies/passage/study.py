"""Every part of a plan: whether it goes in, in what order, and whether what needs service comes out again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from sunfleck import __version__
from sunfleck.brief.build import Brief
from sunfleck.document.problem import nearest
from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import FACES
from sunfleck.geometry.passage.answer import Verdict
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.rotations import matrices_of
from sunfleck.plan.rules.names import slug
from sunfleck.studies.passage.advice import remedies
from sunfleck.studies.passage.asking import QUICK
from sunfleck.studies.passage.cutting import cuts_of_part, is_sawn
from sunfleck.studies.passage.order import NOTHING, Installation, Moment
from sunfleck.studies.passage.parts import Item, extent_of
from sunfleck.studies.passage.scenes import Scene, scene_of, scenes_of_cut
from sunfleck.studies.passage.told import CAUTIONS, SCHEMA, PartPassage
from sunfleck.studies.passage.told_motion import told_moves, told_start

# Largest clearance that is looked for when one part is asked about. [m]
WIDEST = 0.2
# A pot that leans more loses what is in it. Common practice, no source. [rad]
TIPPED = np.radians(15.0)


@dataclass(frozen=True, eq=False)
class PassageReport:
    """The answer to `sunfleck.passage`.

    Attributes
    ----------
    plan : str
        The plan's name.
    show_units : str
        ``metric`` or ``us``.
    parts : tuple of PartPassage
        In the order in which they go in; those for which there is no way come last.
    again : tuple of PartPassage
        What must come out again when everything is planted.
    blocking : tuple of (str, str)
        Pairs of which each goes in only without the other.
    stated : tuple of str
        The order the plan states.
    left_out : tuple of str
        What is no part of this, and why.
    clearance, fingers : float
        What was asked. [m]
    basis : (str, str)
        Where these come from.
    doors : bool
        Whether the plan has a door, or a face in its `order` that is put on later.
    """

    plan: str
    show_units: str
    parts: tuple[PartPassage, ...]
    again: tuple[PartPassage, ...]
    blocking: tuple[tuple[str, str], ...]
    stated: tuple[str, ...]
    left_out: tuple[str, ...]
    clearance: float
    fingers: float
    basis: tuple[str, ...]
    doors: bool

    @property
    def order(self) -> tuple[str, ...]:
        """Names in the order in which they go in."""
        return tuple(part.name for part in self.parts if part.goes)

    @property
    def exit_code(self) -> int:
        """0 when all go in and out again, 1 when one cannot or lacks room for a hand, 3 when no way was found.

        0 too where there is no part to be asked about; 3 where there are parts and no door.
        """
        asked = (*self.parts, *self.again)
        if self.doors and not asked:
            return 0
        if any(part.verdict == "cannot go in" or (part.goes and not part.handy) for part in asked):
            return 1
        return 0 if asked and all(part.goes and not part.within for part in asked) else 3

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "schema": SCHEMA,
            "program": f"sunfleck {__version__}",
            "plan": self.plan,
            "exit_code": self.exit_code,
            "clearance_m": self.clearance,
            "fingers_m": self.fingers,
            "basis": list(self.basis),
            "order": list(self.order),
            "stated_order": list(self.stated),
            "blocking": [list(pair) for pair in self.blocking],
            "parts": [part.to_dict() for part in self.parts],
            "again": [part.to_dict() for part in self.again],
            "left_out": list(self.left_out),
            "cautions": list(CAUTIONS),
        }


def _tipped(item: Item, motion: Motion | None) -> tuple[str, ...]:
    """That a pot does not stay upright on its way."""
    if motion is None or item.group != "plants":
        return ()
    leans = float(matrices_of(motion.turns)[:, 2, 2].min())
    if leans >= np.cos(TIPPED):
        return ()
    most = np.degrees(np.arccos(max(-1.0, leans)))
    return (
        f"it is tipped by {most:.0f} degrees on its way: carried empty, and filled and planted at its place",
    )


class PassageStudy:
    """Passage of one plan; asked when it is needed.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    """

    def __init__(self, brief: Brief) -> None:
        self.brief = brief
        self.installation = Installation(brief)

    @property
    def _opens(self) -> bool:
        """Whether the plan has a door, or a face that is put on after something."""
        plan = self.brief.plan
        return bool(plan.enclosure.doors) or any(slug(name) in FACES for name in plan.order)

    @cached_property
    def report(self) -> PassageReport:
        """All parts."""
        made = self.installation
        doors = self._opens
        moments = made.moments if doors else ()
        again = made.serviced.values() if doors else ()
        return PassageReport(
            plan=self.brief.plan.name,
            show_units=self.brief.plan.show_units,
            parts=tuple(self._told(moment, "in") for moment in moments),
            again=tuple(self._told(moment, "out") for moment in again),
            blocking=made.blocking if doors else (),
            stated=self.brief.plan.order,
            left_out=made.left_out,
            clearance=made.clearance,
            fingers=made.fingers,
            basis=made.basis,
            doors=doors,
        )

    def part(self, name: str, *, out_again: bool = False) -> PartPassage:
        """One part by its name, with the largest clearance it goes in with, and cuts where it does not.

        Raises
        ------
        DomainError
            If there is no such part; the nearest name is told.
        """
        moment = self._moment(name, out_again=out_again)
        if out_again:
            return self._told(moment, "out", widest=True)
        told = self._told(moment, "in", widest=True)
        if told.goes or not is_sawn(told.group, told.size):
            return told
        proposals, asked = cuts_of_part(self.installation, moment, told.largest[0])
        return replace(told, cuts=proposals, cuts_asked=asked)

    def scenes(self, part: PartPassage) -> tuple[Scene, ...]:
        """What is drawn of an answer of :meth:`part`: the part, or the pieces of the first cut with which it goes in."""
        out = part.direction == "out"
        moment = self._moment(part.part, out_again=out)
        if part.cuts:
            return tuple(scenes_of_cut(self.installation, moment, part.cuts[0]))
        return (scene_of(self.installation, moment, out=out),)

    def _moment(self, name: str, *, out_again: bool) -> Moment:
        made = self.installation
        if not self._opens:
            msg = "nothing goes in: the plan has no door (enclosure: {doors: [...]})"
            msg += ", and its `order` no face that is put on later"
            raise DomainError(msg)
        names = {slug(word): item for item in made.items for word in (item.part, item.name)}
        item = names.get(slug(name))
        if item is None:
            near = nearest(name, [word for each in made.items for word in (each.name, each.part)])
            outside = next((words for words in made.left_out if words.startswith(f"{name}:")), None)
            hint = f"; did you mean {near}?" if near else ""
            listed = ", ".join(each.name for each in made.items) or "none"
            msg = outside or f"no part {name!r} goes in through a door{hint}; those that do: {listed}"
            raise DomainError(msg)
        if out_again:
            return made.serviced.get(item.name) or made.at(item, made.items, planted=True)
        return next(each for each in made.moments if each.item.name == item.name)

    def _told(self, moment: Moment, direction: str, *, widest: bool = False) -> PartPassage:
        made, item, answer = self.installation, moment.item, moment.answer
        passage = answer.passage if answer is not None else None
        verdict: Verdict = passage.verdict if passage is not None else "no way found"
        motion = passage.motion if passage is not None else None
        if motion is not None and direction == "out":
            motion = motion.backwards()
        largest = self._largest(moment, verdict, direction, widest=widest)
        low, high = extent_of(item.body)
        proof = passage.proof if passage is not None and passage.verdict != "goes in" else None
        return PartPassage(
            name=item.name,
            part=item.part,
            group=item.group,
            direction=direction,
            verdict=verdict,
            reason=passage.reason if passage is not None else "",
            asked=made.clearance,
            proved_with=passage.clearance if passage is not None else 0.0,
            fingers_asked=made.fingers,
            certified=passage.certified if passage is not None else 0.0,
            fingers=answer.fingers if answer is not None else np.inf,
            largest=largest,
            face=answer.entrance.face if answer is not None and answer.goes else "",
            way=passage.way if passage is not None else "",
            done=answer.entrance.done if answer is not None and answer.goes else "",
            standing=moment.standing,
            blocked_by=moment.blocked_by,
            start=told_start(motion, item.body) if motion is not None and direction == "in" else None,
            moves=told_moves(motion, high - low) if motion is not None else (),
            motion=motion,
            size=item.size,
            mass=item.mass,
            mass_from=item.mass_from,
            hands=item.hands,
            method=passage.method if passage is not None else "ways past what stands",
            proof=None
            if proof is None
            else {
                "state": proof.state,
                "method": proof.method,
                "cells": proof.cells,
                "finest_half_turn_deg": float(np.degrees(proof.finest)),
            },
            effort=answer.effort if answer is not None else QUICK,
            remedies=remedies(made, moment) if verdict != "goes in" and direction == "in" else (),
            notes=(*moment.notes, *(answer.notes if answer is not None else ()), *_tipped(item, motion)),
        )

    def _largest(
        self, moment: Moment, verdict: Verdict, direction: str, *, widest: bool
    ) -> tuple[float, float]:
        """Bounds of the largest clearance: looked for where it does not go in, and where one part is asked about."""
        made = self.installation
        asked = made.clearance
        if verdict == "goes in":
            if not widest or moment.answer is None:
                return asked, np.inf
            blocks = made.blocks(moment.item, moment.standing, planted=direction == "out")
            entrances = (moment.answer.entrance,)
            return max(asked, made.asker.largest(moment.item, entrances, blocks, asked, WIDEST)), np.inf
        upper = asked if verdict == "cannot go in" else np.inf
        if asked <= 0:
            return -1.0, upper
        blocks = NOTHING
        if verdict == "no way found" and moment.standing:
            blocks = made.blocks(moment.item, moment.standing, planted=direction == "out")
        return made.asker.largest(moment.item, (*made.entrances, *made.panes_out), blocks, 0.0, asked), upper
