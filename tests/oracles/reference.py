"""Reflected light of the six scenes by Radiance: computed once, because it takes a quarter of an hour, and stored.

`python -m oracles.reference`, from the folder of the tests, computes it anew. Two runs a scene, each with its
own chance; in the open scene nothing is by chance, and the second has fewer rays.
"""

from pathlib import Path

import numpy as np

from oracles.radiance import total_irradiance
from oracles.scenes import SIX_SCENES, given_scene

SEED = 1
# Into how many pieces a tube and a disc are cut: three times as many changed the mean by less than 1 %, which
# is within chance. The gaps between slats are as far apart as 16 pieces of the tube.
PIECES = {name: (24, 8) if name == "slats" else (16, 6) for name in SIX_SCENES}
# Rays from each receiver.
RAYS = {"open": 512, "leafy": 128, "slats": 256, "pane": 64, "mesh": 64, "box": 64}
STORED = Path(__file__).with_name("reflected_light.csv.gz")


def reflected_by_radiance(name):
    """Reflected irradiance at the receivers of a scene, per watt of each lamp, two runs (2, n). [m-2]"""
    rows = np.loadtxt(STORED, delimiter=",", ndmin=2)
    chosen = rows[rows[:, 0] == SIX_SCENES.index(name)]
    return chosen[:, 1:].T


def compute(name):
    """Ask Radiance, (2, n)."""
    given = given_scene(name, SEED)
    scene = (given.parts, given.emitters, given.points, given.normals)
    lamps = {"media": given.media, "pieces": PIECES[name]}
    straight = total_irradiance(*scene, bounces=0, **lamps)
    rays = RAYS[name]
    return np.stack([total_irradiance(*scene, rays=n, **lamps) - straight for n in (rays, rays - rays // 11)])


def store(found):
    """Write rows of: number of the scene, first run, second run."""
    rows = [
        np.column_stack([np.full(runs.shape[1], SIX_SCENES.index(name)), *runs])
        for name, runs in found.items()
    ]
    np.savetxt(STORED, np.concatenate(rows), fmt=["%d", "%.4g", "%.4g"], delimiter=",")


if __name__ == "__main__":
    store({name: compute(name) for name in SIX_SCENES})
