"""Direct light from a lamp at points among opaque triangles, through thin media and leafy bodies.

What comes out is geometry only, per watt that the lamp gives off: outputs in channels, transmittances
squarely through media, dimming and ageing multiply it afterwards. Light that is no lamp's, as a patch of
sun through a window of the room, has its place here as one more shape of emitter.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from sunfleck.physics.disc_transfer import CHORDS, disc_transfer
from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.line_transfer import line_transfer
from sunfleck.physics.scene import Scene, Transfer


def transfer(
    scene: Scene,
    emitter: LineEmitter | DiscEmitter,
    points: ArrayLike,
    normals: ArrayLike,
    *,
    chords: int = CHORDS,
    threads: int | None = None,
) -> Transfer:
    """Direct light from a lamp of either shape at points.

    Parameters
    ----------
    scene : Scene
        Opaque triangles and media. [m]
    emitter : LineEmitter or DiscEmitter
        The lamp, giving off one watt. [m]
    points : (n, 3) float
        Receivers. [m]
    normals : (n, 3) float
        Which way each faces; lengths do not matter. [-]
    chords : int, default 24
        Into how many a disc is cut where something may be in the way, see
        :func:`sunfleck.physics.disc_transfer.disc_transfer`. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong or a normal has no length.
    """
    if isinstance(emitter, LineEmitter):
        return line_transfer(scene, emitter, points, normals, threads=threads)
    return disc_transfer(scene, emitter, points, normals, chords=chords, threads=threads)
