"""Boxes as heat sees them, made from a few numbers: for tests that need a closed form or random ones."""

import numpy as np

from sunfleck.physics.air_kernels import GAS, HEAT_OF_AIR, REFERENCE
from sunfleck.physics.air_layers import Mixing, Vents
from sunfleck.physics.convection import FilmLaw, film_law
from sunfleck.physics.long_wave import GreyExchange, grey_exchange
from sunfleck.physics.openings import hole_loss, level_exchange
from sunfleck.physics.thermal_box import STEPS, Lamps, Room, Sun, Surfaces, ThermalBox, Thermostats, film_row

ROOM = 294.15
# Heat that the layers are taken to hold. [J m-3 K-1]
OF_AIR = 101_325.0 / (GAS * REFERENCE) * HEAT_OF_AIR
CONSTANT_FILM = FilmLaw(2.0, 0.0, 0.0)  # 4 W m-2 K-1 whatever the difference


def hours_lit(start, end):
    """A timer that is on from one hour to another, a column. [h]"""
    hour = (np.arange(STEPS) + 0.5) * 24 / STEPS
    return ((hour >= start) & (hour < end)).astype(float)[:, None]


def one_node(capacity, u, *, power=0.0, room=ROOM, film=CONSTANT_FILM, area=1.0):
    """A sealed box of one surface that everything lands on: the closed form of a single zone."""
    surfaces = Surfaces(
        contact=np.full((1, 2), area / 2),
        law=film_row(film, film)[None, :],
        feed=np.full(1, np.nan),
        grey=GreyExchange(np.zeros((1, 1)), np.zeros(1)),
        first=np.array([0, 1]),
        capacity=np.array([capacity]),
        onward=np.zeros(1),
        to_room=np.array([u]),
    )
    lamps = Lamps(np.ones((STEPS, 1)), np.array([power]), np.zeros(1), np.ones(1), np.ones((1, 1)))
    return ThermalBox(
        np.array([0.0, 0.5, 1.0]),
        np.full(2, 0.01),
        0.02,
        Vents.none(),
        Mixing(conductivity=100.0),
        surfaces,
        lamps,
        Thermostats.none(1, 2, 1),
        Sun.none(1),
        Room(np.full(STEPS, room), np.full(STEPS, 0.008)),
    )


def furnished(seed=1, *, layers=10, sheets=24, watts=60.0, room=ROOM, swing=0.0, vents=True, u=1.0, soil=4):
    """A box of random surfaces, some of which feed plumes, with ground of several cells and one lamp."""
    rng = np.random.default_rng(seed)
    edges = np.linspace(0.0, 1.2, layers + 1)
    contact = np.zeros((sheets, layers))
    contact[np.arange(sheets), rng.integers(0, layers, sheets)] = rng.uniform(0.05, 0.3, sheets)
    contact[0] = 0.0
    contact[0, 0] = 0.8
    area = contact.sum(axis=1)
    seen = np.zeros((sheets + 1, sheets + 1))
    seen[:sheets, :sheets] = np.outer(area, area) / area.sum()
    grey = grey_exchange(seen, rng.uniform(0.8, 0.96, sheets), np.arange(sheets), sheets)
    cells = np.full(sheets, 2)
    cells[0] = soil
    first = np.concatenate([[0], np.cumsum(cells)])
    capacity = rng.uniform(2e3, 2e4, first[-1])
    capacity[:soil] = 4e4
    feed = np.full(sheets, np.nan)
    feed[:3] = [0.0, 0.4, 0.7]
    law = film_law("vertical", 1.2)
    surfaces = Surfaces(
        contact=contact,
        law=np.tile(film_row(law, law), (sheets, 1)),
        feed=feed,
        grey=grey,
        first=first,
        capacity=capacity,
        onward=np.full(first[-1], 1.5),
        to_room=np.where(np.arange(sheets) > 3, u * area, 0.0),
    ).steadied()
    share = rng.uniform(0.0, 1.0, (1, sheets))
    lamps = Lamps(
        hours_lit(8, 20),
        np.array([0.6 * watts]),
        np.array([0.4 * watts]),
        np.array([1.1]),
        0.9 * share / share.sum(),
    )
    loss = hole_loss()
    openings = Vents.none()
    if vents:
        exchange = [0.0, level_exchange(0.02, loss.square)]
        openings = Vents.of(edges, [0.1, 1.2], [0.01, 0.02], (loss, loss), exchange)
    hour = (np.arange(STEPS) + 0.5) * 24 / STEPS
    warmth = room - swing / 2 * (1 - np.cos(2 * np.pi * (hour - 15) / 24))
    return ThermalBox(
        edges,
        np.full(layers, 1.02 / layers),
        0.85,
        openings,
        Mixing(),
        surfaces,
        lamps,
        Thermostats.none(1, layers, sheets),
        Sun.none(sheets),
        Room(warmth, np.full(STEPS, 0.008)),
    )


def stored(box, state):
    """Heat that a box holds. [J]"""
    return float((state.cells * box.surfaces.capacity).sum() + (state.air * box.volume).sum() * OF_AIR)
