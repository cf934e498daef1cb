"""Lamps as many small sources, each seen or not by itself: no chords, no intervals, laws written anew."""

from math import pi, sqrt

import numpy as np

from sunfleck.physics.emitters import DiscEmitter, LineEmitter


def places_on(lamp, number):
    """Places (s, 3), each for the same share of a lamp: evenly along a line, as a sunflower on a disc. [m]"""
    k = np.arange(number)[:, None] + 0.5
    if isinstance(lamp, LineEmitter):
        return lamp.start + k / number * (lamp.end - lamp.start)
    u = np.cross(lamp.aim, np.eye(3)[np.argmin(np.abs(lamp.aim))])
    u /= np.linalg.norm(u)
    radius, turn = lamp.radius * np.sqrt(k / number), k * pi * (3 - sqrt(5))
    return lamp.centre + radius * (np.cos(turn) * u + np.sin(turn) * np.cross(lamp.aim, u))


def intensity_of(lamp, away):
    """Intensity per watt in unit directions `away` (..., 3) from a lamp. [sr-1]"""
    if isinstance(lamp, DiscEmitter):
        angle = np.arccos(np.clip(away @ lamp.aim, -1, 1))
        return np.interp(angle, np.radians(np.linspace(0, 180, 361)), lamp.intensity)
    axis = (lamp.end - lamp.start) / np.linalg.norm(lamp.end - lamp.start)
    cosine = np.sqrt(np.maximum(1 - (away @ axis) ** 2, 1e-30))
    azimuth = np.arccos(np.clip(away @ lamp.aim / cosine, -1, 1))
    weight = np.interp(azimuth, np.radians(np.linspace(0, 180, 181)), lamp.azimuth_weight)
    return weight * cosine / pi**2


def light_from(lamp, point, places):
    """What comes to a point from each place, as vectors (s, 3) that add up to the irradiance vector. [m-2]"""
    way = places - point
    distance = np.linalg.norm(way, axis=1)
    way /= distance[:, None]
    return way * (intensity_of(lamp, -way) / distance**2 / len(places))[:, None]
