"""The views of a step: box, openings, what stands in it, the part where the step begins and where it ends."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body, Skeleton
from sunfleck.geometry.passage.layers import Opening
from sunfleck.geometry.passage.motion import Motion, Pose
from sunfleck.geometry.passage.rotations import turned_vector
from sunfleck.geometry.passage.silhouettes import (
    BLOCK_EDGES,
    before,
    hull,
    pieces_of,
    placed,
    shadows,
)
from sunfleck.geometry.passage.stage import Stage
from sunfleck.geometry.passage.steps import Step
from sunfleck.outputs.passage_strokes import (
    BOX,
    HAIR,
    LineStyle,
    Polygons,
    corners_of,
    draw_block,
    draw_part,
    grown,
    show_only,
)
from sunfleck.outputs.passage_views import SECONDS, View, face_view
from sunfleck.outputs.themes import DARK, LIGHT, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Floats = NDArray[np.float64]
# Ink of the part and of the arrow; told apart from the box by weight too. Ours.
PART = {LIGHT: ("#0e5a6b", "#9cc7cf", "#c2491d"), DARK: ("#7fd0dd", "#24525c", "#ff9d6b")}
STRONG, THIN = 1.5, 0.7  # line weights [pt]
HIDDEN: LineStyle = (0.0, (3.2, 2.2))
MARGIN = 0.03  # round what is drawn, as a share of it
# An arrow shorter than this on the page says nothing. [in]
SHORTEST_ARROW = 0.09
# A leaf that shows more of itself is drawn as a line round it. [m]
THIN_LEAF = 0.08
# A step that turns more is drawn halfway too. [rad]
HALFWAY = np.radians(30.0)
DOTTED: LineStyle = (0.0, (0.8, 1.8))
# Corners of the arrow's way nearer on the page are one. [in]
LEAST_BEND = 0.07
# The arrow's way is followed at poses so far apart. [m]
FOLLOWED = 0.02
# What covers so much of the box in a view is what everything else is seen against. [-]
ALL_OF_IT = 0.95


def leaf_corners(stage: Stage, opening: Opening, view: View) -> Floats:
    """Corners (8, 3) of the leaf of an opening as it stands open, in the enclosure's coordinates. [m]"""
    leaf = opening.leaf
    assert leaf is not None
    low, high = stage.hole(opening)
    across, sign = {
        "left": (view.right, -1),
        "right": (view.right, 1),
        "top": (view.up, 1),
        "bottom": (view.up, -1),
    }[leaf.hinge]
    shut, out = -sign * np.array(across), -np.array(view.look)
    corners = corners_of(np.array([low, high]))
    outside = corners[(corners @ out) >= (corners @ out).max() - 1e-12]
    far = outside @ shut
    hinged = outside[far <= far.min() + 1e-12]
    swing = min(leaf.swing, np.pi)
    along = np.cos(swing) * shut + np.sin(swing) * out
    # Its thickness lies over the opening when it stands square, before the wall when it is folded back.
    thick = leaf.thickness * (np.sin(swing) * shut - np.cos(swing) * out)
    ends = np.concatenate([hinged, hinged + float(np.ptp(far)) * along])
    return np.concatenate([ends, ends + thick])


class Staging:
    """Draws steps of one motion in views of one scale.

    Parameters
    ----------
    stage : Stage
        The box. [m]
    body : Body
        What moves. [-]
    motion : Motion
        In the enclosure's coordinates. [m]
    steps : sequence of Step
        Of the motion. [-]
    """

    def __init__(self, stage: Stage, body: Body, motion: Motion, steps: Sequence[Step]) -> None:
        self.stage, self.body, self.motion, self.steps = stage, body, motion, tuple(steps)
        self._pieces = pieces_of(body)
        rows = sorted({row for step in steps for row in (step.first, step.last)})
        self._at = {row: placed(self._pieces, motion.pose(row)) for row in rows}
        self.first = face_view(stage.face)
        self._leaves = [
            leaf_corners(stage, each, self.first) for each in stage.openings if each.leaf is not None
        ]

    def views(self, step: Step) -> tuple[View, View]:
        """Return the view onto the face, and the one that shows more of this step."""
        return self.first, max(SECONDS[self.stage.face], key=lambda view: self._shown(step, view))

    def _shown(self, step: Step, view: View) -> float:
        """How far the part's ends are seen to move, and how much of its turn."""
        turned = abs(float(step.axis @ np.array(view.look))) * step.angle * self._lever()
        return float(np.hypot(*(step.shift @ view.axes))) + 2 * turned

    def _lever(self) -> float:
        return float(np.linalg.norm(self.body.outer.nodes - self.body.centre, axis=1).max())

    def bounds(self, step: Step, view: View) -> Floats:
        """Low and high corner (2, 2) of what a step shows in a view. [m]"""
        corners = [self._room() @ view.axes]
        corners += [self.stage.hole(opening) @ view.axes for opening in self.stage.openings]
        corners += [leaf @ view.axes for leaf in self._leaves]
        for row in (step.first, step.last):
            for piece in self._at[row]:
                flat, radius = piece.nodes @ view.axes, piece.radius[:, None]
                corners += [flat - radius, flat + radius]
        points = np.concatenate(corners)
        low, high = points.min(axis=0), points.max(axis=0)
        edge = MARGIN * float((high - low).max())
        return np.array([low - edge, high + edge])

    def _room(self) -> Floats:
        return np.array([np.zeros(3), self.stage.inside])

    def draw(self, ax: Axes, step: Step, view: View, theme: Theme) -> None:
        """Draw one view of a step on axes whose limits are set here."""
        (x0, y0), (x1, y1) = self.bounds(step, view)
        ax.set_xlim(x0, x1)
        ax.set_ylim(y0, y1)
        ax.set_axis_off()
        start, end = self._at[step.first], self._at[step.last]
        strong, tint, _ = PART[theme]
        onto = view == self.first
        self._box(ax, view, theme, onto=onto)
        holes = [hull(corners_of(self.stage.hole(opening)) @ view.axes) for opening in self.stage.openings]
        for pieces, fill, line, weight, over in (
            (start, "none", strong, THIN, 3),
            (end, tint, strong, STRONG, 5),
        ):
            polygons = shadows(pieces, view.right, view.up)
            covers = self._covers(pieces, view)
            if not onto and not covers:
                draw_part(ax, polygons, fill, line, weight, over)
                continue
            # Dashed where the wall or what stands nearer hides it; solid over that where it is seen.
            draw_part(ax, polygons, fill, line, weight, over, style=HIDDEN)
            if onto:
                near = float((self.stage.hole(self.stage.openings[0]) @ np.array(view.look)).min())
                clear = [
                    *holes,
                    *(grown(each) for each in shadows(before(pieces, view.look, near), view.right, view.up)),
                ]
            else:
                clear = [np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])]
            draw_part(ax, polygons, "none", line, weight, over + 1, seen=clear, but=covers)
        self._edges(ax, end, view, strong)
        if step.angle > HALFWAY:
            poses = self._replayed(step)
            between = shadows(placed(self._pieces, poses[len(poses) // 2]), view.right, view.up)
            draw_part(ax, between, "none", strong, THIN, 4, style=DOTTED)
        self._arrow(ax, step, view, theme)

    def _box(self, ax: Axes, view: View, theme: Theme, *, onto: bool) -> None:
        """The box: from outside its front with the openings, otherwise a cut through the opening's wall."""
        holes = [hull(corners_of(self.stage.hole(each)) @ view.axes) for each in self.stage.openings]
        room = np.ptp(self._room() @ view.axes, axis=0)
        for corners in self.stage.standing:
            there = hull(corners_of(corners) @ view.axes)
            if bool((np.ptp(there, axis=0) > ALL_OF_IT * room).all()):
                # The ground seen from above, a panel seen from the front: what is behind everything is no obstacle.
                continue
            if not onto:
                draw_block(ax, there, theme.solid, theme.quiet, HAIR, 1)
                continue
            draw_block(ax, there, "none", theme.quiet, HAIR, 1, HIDDEN)
            show_only(ax, draw_block(ax, there, theme.solid, theme.quiet, HAIR, 1.2), holes)
        draw_block(ax, hull(corners_of(self._room()) @ view.axes), "none", theme.ink, BOX, 2)
        for leaf in self._leaves:
            there = hull(leaf @ view.axes)
            thin = float(np.ptp(there, axis=0).min()) < THIN_LEAF
            draw_block(ax, there, theme.solid if thin and not onto else "none", theme.quiet, BOX, 1.5)
        if onto:
            for hole in holes:
                draw_block(ax, hole, "none", theme.ink, 1.6 * BOX, 2.2)
            return
        for band in self._wall(view):
            draw_block(ax, band, theme.quiet, theme.ink, HAIR, 2.1)

    def _wall(self, view: View) -> Polygons:
        """The cut wall: a band beside the box, with gaps where the openings are."""
        holes = [self.stage.hole(opening) for opening in self.stage.openings]
        flat = [hull(corners_of(hole) @ view.axes) for hole in holes]
        room = self._room() @ view.axes
        low, high = room.min(axis=0), room.max(axis=0)
        thick = np.array(face_view(self.stage.face).look) @ view.axes
        along = int(np.argmin(np.abs(thick)))
        gaps = sorted((float(each[:, along].min()), float(each[:, along].max())) for each in flat)
        across = [float(value) for value in (flat[0].min(axis=0)[1 - along], flat[0].max(axis=0)[1 - along])]
        bands, here = [], float(low[along])
        for first, last in [*gaps, (float(high[along]), float(high[along]))]:
            if first > here + 1e-9:
                corners = np.array(
                    [[here, across[0]], [first, across[0]], [first, across[1]], [here, across[1]]]
                )
                bands.append(corners if along == 0 else corners[:, ::-1])
            here = max(here, last)
        return bands

    def _edges(self, ax: Axes, pieces: Sequence[Skeleton], view: View, line: str) -> None:
        """Edges of blocks within their outline that the eye sees, so that a slant is read as one."""
        for piece in pieces:
            if len(piece.nodes) != 8 or len(piece.rods) != BLOCK_EDGES or piece.radius.any():
                continue
            flat, far = piece.nodes @ view.axes, piece.nodes @ np.array(view.look)
            for rod in piece.rods[~(piece.rods == int(np.argmax(far))).any(axis=1)]:
                ax.plot(*flat[rod].T, color=line, lw=HAIR, zorder=5.5, solid_capstyle="round")

    def _covers(self, pieces: Sequence[Skeleton], view: View) -> Polygons:
        """What stands wholly nearer to the eye than the part."""
        look = np.array(view.look)
        if view == self.first:
            return []
        nearest = min(float((piece.nodes @ look - piece.radius).min()) for piece in pieces)
        return [
            hull(corners_of(corners) @ view.axes)
            for corners in self.stage.standing
            if float((corners_of(corners) @ look).max()) <= nearest + 1e-9
        ]

    def _arrow(self, ax: Axes, step: Step, view: View, theme: Theme) -> None:
        """The way of one point of the part: of its middle, or of the corner that is turned farthest."""
        from matplotlib.patches import Circle, FancyArrowPatch  # noqa: PLC0415  # an extra
        from matplotlib.path import Path  # noqa: PLC0415  # an extra

        path = self._followed(step, view)
        colour = PART[theme][2]
        size = float(ax.bbox.width / ax.figure.dpi / np.ptp(ax.get_xlim()))  # [in/m]
        seen = float(np.hypot(*np.diff(path[:, :2], axis=0).T).sum()) * size
        if seen >= SHORTEST_ARROW:
            curve = Path(_thinned(path[:, :2], LEAST_BEND / size))
            line = FancyArrowPatch(
                path=curve, arrowstyle="-|>", mutation_scale=7, lw=1.1, color=colour, zorder=9, shrinkA=0, shrinkB=0
            )  # fmt: skip
            ax.add_patch(line)
            return
        away = float(path[-1, 2] - path[0, 2])
        if abs(away) * size < SHORTEST_ARROW or abs(float(step.shift @ np.array(view.look))) < 1e-6:
            return
        # Straight away from the eye: the feathers of an arrow; towards it: its tip.
        x, y = path[0, :2]
        radius = 0.05 / size
        ax.add_patch(Circle((x, y), radius, facecolor=theme.paper, edgecolor=colour, lw=1.0, zorder=9))
        if away > 0:
            for way in (1, -1):
                half = radius * 0.7071
                ax.plot(
                    [x - half, x + half], [y - way * half, y + way * half], color=colour, lw=0.9, zorder=10
                )
        else:
            ax.add_patch(Circle((x, y), radius * 0.3, facecolor=colour, edgecolor="none", zorder=10))

    def _followed(self, step: Step, view: View) -> Floats:
        """Right, up and depth (n, 3) of the followed point through the step."""
        axes = np.array([view.right, view.up, view.look], dtype=np.float64).T
        point = self.motion.about
        if step.kind == "turn":
            first, last = self.motion.pose(step.first), self.motion.pose(step.last)
            nodes = self.body.outer.nodes
            ways = [(_world(last, node) - _world(first, node)) @ axes[:, :2] for node in nodes]
            point = nodes[int(np.argmax(np.round(np.linalg.norm(ways, axis=1), 6)))]
        return np.array([_world(pose, point) for pose in self._replayed(step)]) @ axes

    def _replayed(self, step: Step) -> list[Pose]:
        rows = slice(step.first, step.last + 1)
        part = Motion(self.motion.turns[rows], self.motion.places[rows], self.motion.about, ())
        return list(part.replayed(FOLLOWED, self._lever()))


def _thinned(path: Floats, least: float) -> Floats:
    """Without corners nearer to the one before than that; its ends stay."""
    kept = [path[0]]
    kept += [
        point
        for point in path[1:-1]
        if np.hypot(*(point - kept[-1])) >= least and np.hypot(*(point - path[-1])) >= least / 2
    ]
    return np.array([*kept, path[-1]])


def _world(pose: Pose, point: Floats) -> Floats:
    return pose.place + turned_vector(pose.turn, point)
