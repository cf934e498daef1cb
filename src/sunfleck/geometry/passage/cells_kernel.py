"""The graph of cells of rotation and depth: cells split where they matter, neighbours kept, ways counted.

Cells are boxes in whole numbers, GRID to a side, so that touching is exact. A cell that is surely
blocked is dropped; of the others those whose middle is free (`FREE`) cost a way nothing, the rest
(`DOUBTFUL`) cost one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.geometry.passage.blocking_kernels import cell_is_possible, cell_turn
from sunfleck.geometry.passage.fibre_kernels import free_shifts, turn_nodes

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Small = NDArray[np.int32]
Tiny = NDArray[np.int8]

GRID = 1 << 22
GONE, DOUBTFUL, FREE = 0, 1, 2
NEVER = 1 << 30
DEAREST = 64


@kernel
def middle_and_half(box: Small, depths: Floats, middle: Floats, half: Floats) -> None:
    """Coordinates of a cell: three of rotation from -1 to 1, and depth. A side of no length stays one."""
    for k in range(4):
        low, high = box[2 * k] / GRID, box[2 * k + 1] / GRID
        scale, origin = (2.0, -1.0) if k < 3 else (depths[1] - depths[0], depths[0])
        middle[k] = origin + scale * (low + high) / 2
        half[k] = scale * (high - low) / 2


@kernel
def _is_free(placed: Floats, outer: tuple[Floats, Floats, Ints], depth: float, sure: tuple[Floats, Ints, Floats],
             margin: float) -> bool:  # fmt: skip
    """Whether a turned body is free somewhere at this depth, by any of the ways."""
    free = np.zeros(4)
    for way in range(len(sure[1]) - 1):
        layers = sure[0][sure[1][way] : sure[1][way + 1]]
        if free_shifts(placed, outer[1], outer[2], depth, layers, sure[2][way], margin, free) >= 0:
            return True
    return False


@kernel
def _judge(
    box: Small, cube: int, depths: Floats, body: tuple[Floats, Floats, Ints], outer: tuple[Floats, Floats, Ints],
    walls: tuple[Floats, Ints, Floats, float], sure: tuple[Floats, Ints, Floats], margin: float, sway: Floats,
) -> int:  # fmt: skip
    """Blocked, doubtful or free in the middle. `walls`: layers of all ways, where each way begins, ends, clearance."""
    middle, half, turn = np.zeros(4), np.zeros(4), np.zeros(4)
    middle_and_half(box, depths, middle, half)
    placed = np.zeros_like(body[0])
    possible = False
    for way in range(len(walls[1]) - 1):
        layers = walls[0][walls[1][way] : walls[1][way + 1]]
        if cell_is_possible(
            middle, half, cube, body[0], body[1], body[2], layers, walls[2][way], walls[3], placed, sway
        ):
            possible = True
            break
    if not possible:
        return GONE
    cell_turn(middle, cube, turn)
    outside = np.zeros_like(outer[0])
    turn_nodes(turn, outer[0], outside)
    return FREE if _is_free(outside, outer, middle[3], sure, margin) else DOUBTFUL


@kernel
def _overlap(a: Small, b: Small, first: int, last: int, flat: Tiny) -> bool:
    """Whether two boxes share more than an edge in the given coordinates; flat ones do not count."""
    apart = 0
    for k in range(first, last):
        if flat[k] == 0 and (a[2 * k] >= b[2 * k + 1] or b[2 * k] >= a[2 * k + 1]):
            apart += 1
    return apart == 0


@kernel
def _touch_inside(a: Small, b: Small, flat: Tiny) -> bool:
    """Whether two boxes of one cube share a face."""
    met = 0
    for k in range(4):
        if flat[k] == 1:
            continue
        if a[2 * k] >= b[2 * k + 1] or b[2 * k] >= a[2 * k + 1]:
            if a[2 * k] > b[2 * k + 1] or b[2 * k] > a[2 * k + 1]:
                return False
            met += 1
    return met <= 1


@kernel
def _touch(a: Small, cube_a: int, b: Small, cube_b: int, half_turns: bool, flat: Tiny, moved: Small) -> bool:
    """Whether two cells share a face, also across the faces of the quaternion cubes.

    Beyond the face where coordinate i of cube c is +1 or -1 lies cube i, whose coordinate c is the same sign and
    whose others are the same times that sign. A body that half turns leave alone needs one cube: the neighbour
    quaternion is turned back by half a turn, which sends (1, v, w) to (-1, -w, v).
    """
    if cube_a == cube_b and _touch_inside(a, b, flat):
        return True
    for k in range(3):
        if flat[k] == 1:
            continue
        for end in range(2):
            if a[2 * k + end] != end * GRID:
                continue
            moved[6], moved[7] = a[6], a[7]
            if half_turns:
                if b[2 * k + 1 - end] != (1 - end) * GRID:
                    continue
                v, w = (k + 1) % 3, (k + 2) % 3
                # +1: (v, w) -> (-w, v); -1: the other way round.
                if end == 1:
                    moved[2 * v], moved[2 * v + 1] = GRID - a[2 * w + 1], GRID - a[2 * w]
                    moved[2 * w], moved[2 * w + 1] = a[2 * v], a[2 * v + 1]
                else:
                    moved[2 * v], moved[2 * v + 1] = a[2 * w], a[2 * w + 1]
                    moved[2 * w], moved[2 * w + 1] = GRID - a[2 * v + 1], GRID - a[2 * v]
                moved[2 * k], moved[2 * k + 1] = b[2 * k], b[2 * k + 1]
                if _overlap(moved, b, 0, 4, flat):
                    return True
            else:
                other = k if k < cube_a else k + 1
                if other != cube_b:
                    continue
                back = cube_a if cube_a < cube_b else cube_a - 1
                if b[2 * back + end] != end * GRID:
                    continue
                for component in range(4):
                    if component == cube_a:
                        continue
                    if component == cube_b:
                        continue
                    i = component if component < cube_a else component - 1
                    j = component if component < cube_b else component - 1
                    if end == 1:
                        moved[2 * j], moved[2 * j + 1] = a[2 * i], a[2 * i + 1]
                    else:
                        moved[2 * j], moved[2 * j + 1] = GRID - a[2 * i + 1], GRID - a[2 * i]
                moved[2 * back], moved[2 * back + 1] = b[2 * back], b[2 * back + 1]
                if _overlap(moved, b, 0, 4, flat):
                    return True
    return False


@kernel
def _link(a: int, b: int, head: Small, links: Small, size: Ints) -> bool:
    """Write b into a's list of neighbours; False if there is no room left."""
    if size[2] >= 0:
        at = size[2]
        size[2] = links[at, 1]
    else:
        at = size[1]
        if at >= len(links):
            return False
        size[1] += 1
    links[at, 0], links[at, 1] = b, head[a]
    head[a] = at
    return True


@kernel
def _price(box: Small) -> int:
    """Price of a doubtful cell to a way: 1 for a large one, up to DEAREST for the smallest.

    With one price for all, a way through a place where two free regions all but touch would stay the
    cheapest however small its cells get, and nothing else would ever be looked at.
    """
    halvings = 0
    for k in range(4):
        wide = box[2 * k + 1] - box[2 * k]
        while 0 < wide < GRID:
            wide *= 2
            halvings += 1
    return int(min(max(2.0 ** ((halvings - 24) / 8), 1.0), float(DEAREST)))


@kernel
def add_root(box: Small, cube: int, boxes: Small, cubes: Tiny, prices: Tiny, state: Tiny, head: Small, links: Small, size: Ints,
             half_turns: bool, flat: Tiny) -> None:  # fmt: skip
    """Add a whole cube as the first cells; each is joined to those that were there."""
    at = size[0]
    boxes[at], cubes[at], state[at], head[at] = box, cube, DOUBTFUL, -1
    prices[at] = 1
    size[0] += 1
    moved = np.zeros(8, np.int32)
    for other in range(at):
        if _touch(boxes[other], cubes[other], box, cube, half_turns, flat, moved):
            _link(at, other, head, links, size)
            _link(other, at, head, links, size)


@kernel
def split(
    chosen: Ints, cells: tuple[Small, Tiny, Tiny, Tiny, Small, Small, Ints], flat: Tiny,
    half_turns: bool, depths: Floats, body: tuple[Floats, Floats, Ints], outer: tuple[Floats, Floats, Ints],
    walls: tuple[Floats, Ints, Floats, float], sure: tuple[Floats, Ints, Floats], margin: float,
) -> bool:  # fmt: skip
    """Halve each chosen cell where the body moves most, drop what is blocked; False if there is no room left."""
    boxes, cubes, prices, state, head, links, size = cells
    sway, middle, half = np.zeros(4), np.zeros(4), np.zeros(4)
    moved = np.zeros(8, np.int32)
    placed = np.zeros_like(body[0])
    for parent in chosen:
        if state[parent] == GONE:
            continue
        if size[0] + 2 > len(boxes):
            return False
        middle_and_half(boxes[parent], depths, middle, half)
        cell_is_possible(
            middle, half, cubes[parent], body[0], body[1], body[2], walls[0][:0], 1e9, 0.0, placed, sway
        )
        axis = -1
        for k in range(4):
            if boxes[parent, 2 * k + 1] - boxes[parent, 2 * k] > 1 and (axis < 0 or sway[k] > sway[axis]):
                axis = k
        if axis < 0:
            continue
        state[parent] = GONE
        half_way = (boxes[parent, 2 * axis] + boxes[parent, 2 * axis + 1]) // 2
        first = size[0]
        for end in range(2):
            at = size[0]
            boxes[at] = boxes[parent]
            boxes[at, 2 * axis + 1 - end] = half_way
            kind = _judge(boxes[at], cubes[parent], depths, body, outer, walls, sure, margin, sway)
            if kind != GONE:
                cubes[at], state[at], head[at] = cubes[parent], kind, -1
                prices[at] = _price(boxes[at])
                size[0] += 1
        made = size[0] - first
        if made == 2 and not (
            _link(first, first + 1, head, links, size) and _link(first + 1, first, head, links, size)
        ):
            return False
        at = head[parent]
        while at >= 0:
            other = links[at, 0]
            following = links[at, 1]
            links[at, 1] = size[2]
            size[2] = at
            at = following
            if state[other] != GONE:
                for child in range(first, first + made):
                    if _touch(
                        boxes[child], cubes[child], boxes[other], cubes[other], half_turns, flat, moved
                    ) and not (
                        _link(child, other, head, links, size) and _link(other, child, head, links, size)
                    ):
                        return False
        head[parent] = -1
    return True


@kernel
def count_ways(starts: Ints, prices: Tiny, state: Tiny, head: Small, links: Small, size: Ints, cost: Small, came: Small,
               pool: Small) -> bool:  # fmt: skip
    """Least price of the doubtful cells on a way from any of `starts` to each cell, its own included.

    Dial's way: a ring of lists, one for each price that is due next. `came` leads back; neighbours that are
    gone are unlinked on the way. `pool` (n, 2) holds the lists; False if it is too small, and nothing is known.
    """
    for i in range(size[0]):
        cost[i], came[i] = NEVER, -1
    ring = np.full(DEAREST + 1, -1, np.int32)
    used, spare, waiting = 0, -1, 0
    for s in starts:
        if state[s] != GONE and cost[s] == NEVER:
            cost[s] = prices[s] if state[s] == DOUBTFUL else 0
            slot = cost[s] % (DEAREST + 1)
            pool[used, 0], pool[used, 1] = s, ring[slot]
            ring[slot] = used
            used += 1
            waiting += 1
    due = 0
    while waiting > 0:
        slot = due % (DEAREST + 1)
        if ring[slot] < 0:
            due += 1
            continue
        entry = ring[slot]
        ring[slot] = pool[entry, 1]
        c = pool[entry, 0]
        pool[entry, 1] = spare
        spare = entry
        waiting -= 1
        if cost[c] != due:
            continue
        before = -1
        at = head[c]
        while at >= 0:
            other = links[at, 0]
            following = links[at, 1]
            if state[other] == GONE:
                if before < 0:
                    head[c] = following
                else:
                    links[before, 1] = following
                links[at, 1] = size[2]
                size[2] = at
            else:
                before = at
                if cost[other] > due:
                    value = due + (prices[other] if state[other] == DOUBTFUL else 0)
                    if value < cost[other]:
                        cost[other], came[other] = value, c
                        if spare >= 0:
                            entry = spare
                            spare = pool[entry, 1]
                        elif used < len(pool):
                            entry = used
                            used += 1
                        else:
                            return False
                        slot = value % (DEAREST + 1)
                        pool[entry, 0], pool[entry, 1] = other, ring[slot]
                        ring[slot] = entry
                        waiting += 1
            at = following
    return True


@kernel
def free_middles(
    rows: Ints, boxes: Small, cubes: Tiny, state: Tiny, depths: Floats, outer: tuple[Floats, Floats, Ints],
    sure: tuple[Floats, Ints, Floats], margin: float,
) -> int:  # fmt: skip
    """Look again which doubtful cells have a free middle, with another margin; returns how many were found."""
    middle, half, turn = np.zeros(4), np.zeros(4), np.zeros(4)
    placed = np.zeros_like(outer[0])
    found = 0
    for row in rows:
        if state[row] != DOUBTFUL:
            continue
        middle_and_half(boxes[row], depths, middle, half)
        cell_turn(middle, cubes[row], turn)
        turn_nodes(turn, outer[0], placed)
        if _is_free(placed, outer, middle[3], sure, margin):
            state[row] = FREE
            found += 1
    return found
