"""Light at receivers: geometry for each fixture, direct and reflected; channels follow by arithmetic."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorMatrix, FactorPower
from sunfleck.brief.givens import Given
from sunfleck.brief.lamps import UNITS, FixtureBrief
from sunfleck.brief.outputs import Output
from sunfleck.errors import DomainError
from sunfleck.physics.disc_transfer import CHORDS
from sunfleck.physics.scene import Transfer
from sunfleck.physics.transport import transfer
from sunfleck.studies.brightest import brightest_direction, turned_to_the_light
from sunfleck.studies.channels import Channel, ChannelField, Facing, Term, crossed, light_of
from sunfleck.studies.deviations import gained_nearer, gained_wider
from sunfleck.studies.interreflection import Around, Interior
from sunfleck.studies.lamp_scenes import LampScene, Move, among_fewer_leaves, lamp_scenes, move_between
from sunfleck.studies.leaf_terms import behind_leaves
from sunfleck.studies.turned import Lit


@dataclass(frozen=True, eq=False)
class LightField:
    """Geometry of light at n receivers, per fixture; channels follow by arithmetic.

    Attributes
    ----------
    brief : Brief
        What it was computed for.
    points, normals : (n, 3) float
        Receivers and the way they face. [m]
    transfers : tuple of Transfer
        Direct light, one a fixture. [m-2]
    lamps : tuple of LampScene
        What the light of each fixture meets, and the media of its transfer's groups.
    interior : Interior or None
        What reflects; None for direct light only.
    around : Around or None
        Which patches surround each receiver.
    closely : (n,) bool
        Which receivers look along more ways for what is reflected.
    """

    brief: Brief
    points: NDArray[np.float64]
    normals: NDArray[np.float64]
    transfers: tuple[Transfer, ...]
    lamps: tuple[LampScene, ...]
    interior: Interior | None
    around: Around | None
    closely: NDArray[np.bool_]

    def rows_of(
        self, points: NDArray[np.float64], normals: NDArray[np.float64], closely: NDArray[np.bool_]
    ) -> NDArray[np.int64]:
        """Which receiver of this field each of other receivers is, (m,); -1 for one that is none of them."""
        mine, theirs = (
            np.concatenate([p, n, c[:, None]], axis=1)
            for p, n, c in ((self.points, self.normals, self.closely), (points, normals, closely))
        )
        if np.array_equal(mine, theirs, equal_nan=True):
            return np.arange(len(points))
        number = {row.tobytes(): k for k, row in enumerate(mine)}
        return np.array([number.get(row.tobytes(), -1) for row in theirs], dtype=np.int64)

    def channel(
        self,
        channel: Channel,
        facing: Facing = "normal",
        lit: Mapping[str, float] | None = None,
        *,
        as_planned: bool = True,
        reflected: bool = True,
        in_air: Mapping[str, Given] | None = None,
    ) -> ChannelField:
        """Return one channel as a field that is linear in its uncertain factors.

        Parameters
        ----------
        channel : str
            ``uvi``, ``lux``, ``ppfd`` or ``radiant``. [-]
        facing : str
            ``normal``: as the receivers face. ``brightest``: turned where most light of this
            channel comes from, with every factor at its middle. [-]
        lit : mapping of str to float, optional
            Level of each fixture by name; fixtures not named are off. All on when left out. [-]
        as_planned : bool
            Whether lamps are dimmed as the plan says, or at full level. [-]
        reflected : bool
            Whether what walls and furnishing give back is wanted too. [-]
        in_air : mapping of str to Given, optional
            What lamps give in the air that they burn in, by name; those not named as they are rated. [-]

        Returns
        -------
        field : ChannelField
            Terms that add up.

        Raises
        ------
        DomainError
            If `lit` names a fixture the plan does not have, or a level below zero.
        """
        lamps = self._lit_parts(channel, lit, in_air or {})
        direct = self._direct(lamps, channel, dict(enumerate(self.transfers)), as_planned=as_planned)
        given_back = self._given_back(lamps if reflected else [], channel, as_planned=as_planned)
        normals, thinned = self.normals, {part.index: self._thinned[part.index].transfer for part in lamps}
        if facing == "brightest" and (direct or given_back):
            normals = self._brightest(direct, given_back)
            turned = {part.index: self._lit[part.index].turned(normals) for part in lamps}
            thinned = {part.index: self._thinned[part.index].turned(normals) for part in lamps}
            direct = self._direct(lamps, channel, turned, as_planned=as_planned)
        through = self._direct(lamps, channel, thinned, as_planned=as_planned)
        terms, opened = behind_leaves(self.brief, _by_way(direct), _by_way(through))
        terms += [*self._shifts(terms), *opened]
        if given_back and self.around is not None:
            sent = np.stack([column for _, column in given_back], axis=1)
            found = self.around.irradiance(sent, normals)
            terms += [
                replace(
                    term,
                    geometry=found[:, k],
                    given_back_by=partial(self._given_back_by, term.light, column, normals),
                )
                for k, (term, column) in enumerate(given_back)
            ]
        return ChannelField(channel, UNITS[channel], tuple(terms), self.brief.matrix, len(self.points))

    def expected(
        self,
        channel: Channel,
        facing: Facing = "normal",
        lit: Mapping[str, float] | None = None,
        *,
        as_planned: bool = True,
    ) -> NDArray[np.float64]:
        """Return what is expected of one channel, (n,), without what only its range needs.

        Parameters
        ----------
        channel, facing, lit, as_planned
            As `channel` takes them. For the brightest direction that of the summed vector is taken: some per cent less
            where light comes from opposite sides.

        Returns
        -------
        values : (n,) float
            Facing along the normals the `middle` of what `channel` returns, in a fraction of its time.

        Raises
        ------
        DomainError
            If `lit` names a fixture the plan does not have, or a level below zero.
        """
        if not _as_drawn(self.brief.matrix):
            # Readings have moved leaves and mountings: then these count too.
            return self.channel(channel, facing, lit, as_planned=as_planned).middle
        lamps = self._lit_parts(channel, lit, {})
        direct = self._direct(lamps, channel, dict(enumerate(self.transfers)), as_planned=as_planned)
        given_back = self._given_back(lamps, channel, as_planned=as_planned)
        sent = np.sum([term.strength * column for term, column in given_back], axis=0) if given_back else None
        if facing == "normal":
            found = np.sum([shone.term.strength * shone.term.geometry for shone in direct], axis=0)
            if sent is not None and self.around is not None:
                found = found + self.around.irradiance(sent[:, None], self.normals)[:, 0]
            return np.asarray(np.zeros(len(self.points)) + found)
        vectors = np.zeros((max(len(direct), 1), len(self.points), 3))
        for row, shone in enumerate(direct):
            vector = self.transfers[shone.term.fixture.index].vector[:, shone.column]
            vectors[row] = shone.term.strength * vector
        total = vectors.sum(axis=0)
        if sent is not None and self.around is not None:
            total = total + self.around.vector(sent)
        length = np.linalg.norm(total, axis=1, keepdims=True)
        towards = np.where(length > 0, total / np.where(length > 0, length, 1.0), np.array([0.0, 0.0, 1.0]))
        found = np.maximum(np.einsum("tnk,nk->tn", vectors, towards), 0.0).sum(axis=0)
        if sent is not None and self.around is not None:
            found = found + self.around.irradiance(sent[:, None], towards)[:, 0]
        return np.asarray(found)

    def _lit_parts(
        self, channel: Channel, lit: Mapping[str, float] | None, in_air: Mapping[str, Given]
    ) -> list[_Part]:
        """The fixtures that are lit and give such light."""
        levels = _levels(self.brief, lit)
        return [
            _Part(
                fixture,
                fixture.outputs[channel],
                levels[fixture.name],
                k,
                in_air.get(fixture.name) if channel != "radiant" else None,
            )
            for k, fixture in enumerate(self.brief.fixtures)
            if channel in fixture.outputs and levels[fixture.name] > 0.0
        ]

    def _given_back(
        self, lamps: list[_Part], channel: str, *, as_planned: bool
    ) -> list[tuple[Term, NDArray[np.float64]]]:
        """Terms of what is given back, and what leaves each patch, (p,), per watt. [m-2]"""
        found = [
            (self._term(part, channel, int(mask), as_planned, NOTHING, reflected=True), radiosity[:, c])
            for part in lamps
            for groups, radiosity in self._radiosities(part, channel)
            for c, mask in enumerate(groups)
        ]
        return [(term, sent) for term, sent in found if term.strength > 0]

    def _term(
        self,
        part: _Part,
        channel: str,
        mask: int,
        as_planned: bool,
        geometry: NDArray[np.float64],
        *,
        reflected: bool,
    ) -> Term:
        media = tuple(m for g, m in enumerate(self.lamps[part.index].media) if mask >> g & 1)
        light = light_of(part.fixture, channel)
        factors = part.output.factors + tuple(
            FactorPower(m.factor[light]) for m in crossed(media) if light in m.factor
        )
        if reflected:
            factors += (FactorPower(self.brief.reflection[light]),)
        level = part.level * (part.fixture.level.value if as_planned else 1.0)
        return Term(
            channel,
            part.fixture,
            part.output,
            media,
            level,
            as_planned,
            geometry,
            factors,
            reflected,
            in_air=part.in_air,
        )

    def _radiosities(
        self, part: _Part, channel: str
    ) -> Iterator[tuple[NDArray[np.int64], NDArray[np.float64]]]:
        """What leaves the patches of one fixture's light: masks (c,) and radiosities (p, c). [m-2]"""
        if self.interior is not None:
            groups, _ = self.interior.arriving[part.index]
            yield groups, self.interior.radiosities(light_of(part.fixture, channel))[part.index]

    def _given_back_by(
        self, light: str, sent: NDArray[np.float64], normals: NDArray[np.float64], receiver: int
    ) -> str:
        """Name the surfaces that give back most of what a receiver gets, with their reflectances."""
        if self.around is None or self.interior is None:
            return ""
        part = self.around.weights(receiver, normals[receiver]) * sent
        surfaces = self.brief.surroundings.surfaces
        of_surface = np.bincount(self.interior.surface_of_patch, part, minlength=len(surfaces))
        total = float(of_surface.sum())
        words = []
        for k in np.argsort(-of_surface)[:MOST_NAMED]:
            if total > 0 and of_surface[k] >= 0.05 * total:
                given = surfaces[k].reflectance[light]
                words.append(
                    f"{of_surface[k] / total:.0%} by {surfaces[k].name}, which gives back {given.value:.2g} "
                    f"({given.source}; {given.basis})"
                )
        return "; ".join(words)

    def _direct(
        self, lamps: list[_Part], channel: str, transfers: Mapping[int, Transfer], *, as_planned: bool
    ) -> list[_Shone]:
        """Direct light of each lamp by what it crossed."""
        found = [
            _Shone(
                self._term(part, channel, int(mask), as_planned, moved.facing[:, c], reflected=False),
                c,
                int(mask),
            )
            for part in lamps
            for moved in (transfers[part.index],)
            for c, mask in enumerate(moved.groups)
        ]
        return [shone for shone in found if shone.term.strength > 0]

    def _shifts(self, terms: list[Term]) -> list[Term]:
        """What direct light gains where its lamp hangs nearer or its beam is wider; traces of light do not count."""
        most = [term.strength * np.nanmax(term.geometry, initial=0.0) for term in terms]
        found = []
        for term, strongest in zip(terms, most, strict=True):
            if strongest > TRACE * max(most):
                fixture = term.fixture
                nearer, wider = self._gains[fixture.index]
                for share, column, what in (
                    (nearer, fixture.mounting, "a nearer place"),
                    (wider, fixture.beam, "a wider beam"),
                ):
                    gain = np.nan_to_num(term.geometry * share)
                    found.append(
                        replace(term, geometry=gain, factors=(*term.factors, FactorPower(column)), shift=what)
                    )
        return found

    @cached_property
    def _gains(self) -> tuple[tuple[NDArray[np.float64], NDArray[np.float64]], ...]:
        """Shares (n,) that each fixture's light gains, hung nearer and with a wider beam."""
        return tuple(
            (gained_nearer(fixture.emitter, self.points), gained_wider(fixture.emitter, self.points))
            for fixture in self.brief.fixtures
        )

    @cached_property
    def _lit(self) -> tuple[Lit, ...]:
        """The direct light of each fixture, ready to be turned to."""
        parts = zip(self.brief.fixtures, self.lamps, self.transfers, strict=True)
        return tuple(Lit(fixture.emitter, lamp, self.points, moved) for fixture, lamp, moved in parts)

    @cached_property
    def _thinned(self) -> tuple[Lit, ...]:
        """The same with some of the leaves gone: computed anew where a crown may be in the way."""
        leaves = self.brief.surroundings.leaves
        if leaves is None:
            return self._lit
        found = []
        for lit in self._lit:
            touched = Move({}, leaves.crowns).touches(lit.emitter, self.points)
            lamp = among_fewer_leaves(self.brief, lit.lamp)
            part = transfer(lamp.scene, lit.emitter, self.points[touched], self.normals[touched])
            found.append(Lit(lit.emitter, lamp, self.points, lit.transfer.with_rows(touched, part)))
        return tuple(found)

    def _brightest(
        self, direct: list[_Shone], given_back: list[tuple[Term, NDArray[np.float64]]]
    ) -> NDArray[np.float64]:
        """Direction (n, 3) in which most light comes, with every factor at its middle."""
        # What comes from one lamp comes from about one direction, whatever it has crossed.
        of_lamps: dict[int, NDArray[np.float64]] = {}
        for shone in direct:
            k = shone.term.fixture.index
            of_lamps[k] = (
                of_lamps.get(k, 0.0) + shone.term.strength * self.transfers[k].vector[:, shone.column]
            )
        vectors = list(of_lamps.values())
        sent = None
        if given_back and self.around is not None:
            sent = np.sum([term.strength * column for term, column in given_back], axis=0)
            vectors.append(self.around.vector(sent))

        def ahead(direction: NDArray[np.float64]) -> NDArray[np.float64]:
            turned = {k: self._lit[k].turned(direction) for k in of_lamps}
            found = np.zeros((len(self.points), 3))
            for shone in direct:
                found += shone.term.strength * turned[shone.term.fixture.index].ahead[:, shone.column]
            if sent is not None and self.around is not None:
                found += self.around.ahead(sent, direction)
            return found

        return turned_to_the_light(brightest_direction(np.stack(vectors)), ahead)


@dataclass(frozen=True)
class _Shone:
    """Direct light of one lamp that crossed the same media: its column and its mask in the lamp's transfer."""

    term: Term
    column: int
    mask: int


def _by_way(shone: list[_Shone]) -> dict[tuple[int, int], Term]:
    """Terms by fixture and what they crossed."""
    return {(one.term.fixture.index, one.mask): one.term for one in shone}


@dataclass(frozen=True)
class _Part:
    """A fixture that is lit: its output in a channel, the level asked for, its place in the plan, its air."""

    fixture: FixtureBrief
    output: Output
    level: float
    index: int
    in_air: Given | None


NOTHING = np.zeros(0)
MOST_NAMED = 2
TRACE = 1e-3
# Fields that are remembered: of a few animals, of the plan and of the plan before it.
MOST_SEEN = 4


def light_field(
    brief: Brief,
    points: ArrayLike,
    normals: ArrayLike,
    interior: Interior | None = None,
    before: LightField | None = None,
    closely: ArrayLike | None = None,
) -> LightField:
    """Compute the geometry of light at receivers, once for all channels, levels and factors.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    points : (n, 3) float
        Receivers; those inside something solid get NaN. [m]
    normals : (n, 3) float
        Unit vectors the receivers face along. [-]
    interior : Interior, optional
        The inside of the box as it reflects; left out, the field is direct light only.
    before : LightField, optional
        A field at some of the same receivers before lamps were moved: only what that changes is computed
        anew. The result is the same with or without it. [-]
    closely : (n,) bool, optional
        Which receivers look along more ways for what is reflected. [-]

    Returns
    -------
    field : LightField
        What every receiver gets of every fixture.
    """
    p = np.array(points, dtype=np.float64).reshape(-1, 3)
    n = np.broadcast_to(np.asarray(normals, dtype=np.float64), p.shape).copy()
    p[brief.surroundings.solid_at(p)] = np.nan
    lamps = interior.lamps if interior is not None else lamp_scenes(brief)
    chords = interior.grain.chords if interior is not None else CHORDS
    c = np.zeros(len(p), dtype=bool) if closely is None else np.array(closely, dtype=bool)
    rows = before.rows_of(p, n, c) if before is not None else np.full(len(p), -1)
    kept = before if (rows >= 0).any() else None
    move = move_between(kept.brief, brief) if kept is not None else None
    transfers = []
    for fixture, lamp in zip(brief.fixtures, lamps, strict=True):
        earlier = move.before.get(fixture.index) if move is not None else None
        if kept is None or move is None or earlier is None or kept.lamps[earlier].media != lamp.media:
            transfers.append(transfer(lamp.scene, fixture.emitter, p, n, chords=chords))
        else:
            anew = move.touches(fixture.emitter, p) | (rows < 0)
            part = transfer(lamp.scene, fixture.emitter, p[anew], n[anew], chords=chords)
            transfers.append(kept.transfers[earlier].at(rows).with_rows(anew, part))
    around = None
    if interior is not None and brief.fixtures:
        known = kept.around if kept is not None else None
        same = known is not None and known.scene is interior.scene
        around = interior.around(p, c, (known, rows) if known is not None and same else None)
    return LightField(brief, p, n, tuple(transfers), lamps, interior, around, c)


def light_taken_over(
    brief: Brief, points: ArrayLike, normals: ArrayLike, interior: Interior, closely: NDArray[np.bool_]
) -> LightField:
    """Compute a light field, and remember it in the interior: the next one like it costs what differs.

    Parameters
    ----------
    brief, points, normals, interior, closely
        As of :func:`light_field`, all of them needed.

    Returns
    -------
    field : LightField
        The same as :func:`light_field` gives.
    """
    places = np.asarray(points, dtype=np.float64)
    # Of the fields that are remembered the one of most of the same receivers: that of the same animal.
    here = {place.tobytes() for place in places}
    alike = [sum(place.tobytes() in here for place in field.points) for field in interior.seen]
    before = interior.seen[int(np.argmax(alike))] if alike else None
    found = light_field(brief, places, normals, interior, before, closely)
    # Without the interior, which would hold what was seen before it, and so on.
    interior.seen[:] = [*interior.seen[1 - MOST_SEEN :], replace(found, interior=None)]
    return found


def _as_drawn(matrix: FactorMatrix) -> bool:
    """Whether no reading has moved the world that is expected."""
    return not matrix.centre.any()


def _levels(brief: Brief, lit: Mapping[str, float] | None) -> dict[str, float]:
    names = [fixture.name for fixture in brief.fixtures]
    if lit is None:
        return dict.fromkeys(names, 1.0)
    for name, level in lit.items():
        if name not in names:
            msg = f"lit names {name!r}; the plan's fixtures are {', '.join(names)}"
            raise DomainError(msg)
        if not np.isfinite(level) or level < 0:
            msg = f"the level of {name!r} must be zero or more; got {level:g}"
            raise DomainError(msg)
    return {name: float(lit.get(name, 0.0)) for name in names}
