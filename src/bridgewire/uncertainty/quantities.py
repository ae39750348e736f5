"""Scattering values as functions of named standard normal latents.

A value is ``typical * exp(s z)`` or, where its band touches 0 or a plain temperature is meant,
``typical + s z``, with one s above and another below typical, so that typical is the median and
the band's ends lie at ``z = ±k``. ``z = sqrt(share) z_common + sqrt(1 - share) z_own`` is standard
normal again. The tails have no end but what is physical.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, Protocol, TypeAlias

import numpy as np
from attrs import define, field, frozen

from bridgewire.model.band import Band
from bridgewire.physics.network import Bools, Floats, Ints

Group: TypeAlias = Literal[
    "cable",
    "cable length",
    "contacts",
    "strips and splitters",
    "switch and diode",
    "supply voltage",
    "supply resistance",
    "supply limit",
    "capacitor",
    "igniter itself",
    "other igniters",
    "igniter batch",
    "ambient",
]
"""What a person can measure or choose; latents are summed up by it."""

NOBODY = -1
"""Owner of a latent that belongs to no igniter."""


@frozen
class Latent:
    """One independent standard normal cause of scatter."""

    key: str
    """Stable name, for example ``igniter/jetty-1/4/threshold``; the key of its random stream."""
    group: Group
    owner: int = NOBODY
    """Index of the igniter entry that it belongs to."""


def group_for(latent: Latent, igniter: int) -> Group:
    """Group of a latent as one igniter sees it: its own values apart from those of others."""
    if latent.group == "igniter itself" and latent.owner != igniter:
        return "other igniters"
    return latent.group


@frozen(eq=False)
class Quantities:
    """The scattering values of some circuits.

    Attributes
    ----------
    latents : tuple of Latent
    common, own : int array, shape (quantities,)
        Indexes of latents; ``len(latents)`` stands for none.
    common_weight, own_weight : array
    typical, up, down : array
        Median, and change for each unit of z above and below it: of the logarithm, or of the
        value where `linear`.
    linear : bool array
    offset, least, most : array
        Added to the value; then it is kept between `least` and `most`.
    mixed : int array
        Indexes of latents that are drawn together; their values are `mix` times those given.
    mix : array, shape (mixed, mixed)
    """

    latents: tuple[Latent, ...]
    common: Ints
    own: Ints
    common_weight: Floats
    own_weight: Floats
    typical: Floats
    up: Floats
    down: Floats
    linear: Bools
    offset: Floats
    least: Floats
    most: Floats
    mixed: Ints = field(factory=lambda: np.empty(0, dtype=np.intp))
    mix: Floats = field(factory=lambda: np.empty((0, 0)))

    def z(self, latent_z: Floats) -> Floats:
        """Standard normal value of each quantity: shape (quantities, draws)."""
        if self.mixed.size:
            latent_z = latent_z.copy()
            latent_z[self.mixed] = self.mix @ latent_z[self.mixed]
        none = np.zeros((1, latent_z.shape[1]))
        z = np.concatenate([latent_z, none])
        out: Floats = (
            self.common_weight[:, None] * z[self.common] + self.own_weight[:, None] * z[self.own]
        )
        return out

    def values(self, latent_z: Floats) -> Floats:
        """Values for given latents.

        Parameters
        ----------
        latent_z : array, shape (latents, draws)

        Returns
        -------
        array, shape (quantities, draws)
        """
        z = self.z(latent_z)
        z *= np.where(z > 0.0, self.up[:, None], self.down[:, None])
        straight = self.linear
        out = np.empty_like(z)
        out[straight] = self.typical[straight, None] + z[straight]
        curved = ~straight
        # Beyond any band by far; keeps the arithmetic finite in the wildest tail.
        out[curved] = self.typical[curved, None] * np.exp(np.clip(z[curved], -50.0, 50.0))
        out += self.offset[:, None]
        return np.clip(out, self.least[:, None], self.most[:, None])


class TogetherLike(Protocol):
    """Latents that are drawn together, see `bridgewire.uncertainty.joint.Together`."""

    @property
    def keys(self) -> tuple[str, ...]:
        """Of the latents."""

    @property
    def groups(self) -> tuple[Group, ...]:
        """Of each."""

    @property
    def root(self) -> Floats:
        """Their values are this times independent ones."""


@define
class QuantityTable:
    """Collects quantities and their latents; equal keys are one latent."""

    sigmas: float
    """How many standard deviations the ends of a band are away."""
    exact: set[str] = field(factory=set)
    """Groups of values among which some have no stated tolerance."""
    together: Sequence[TogetherLike] = ()
    """Latents that are drawn together."""
    _latents: dict[str, Latent] = field(factory=dict)
    _places: dict[str, int] = field(factory=dict)
    _known: dict[tuple[str, str], int] = field(factory=dict)
    _rows: list[tuple[float, ...]] = field(factory=list)

    def latent(self, key: str, group: Group, owner: int = NOBODY) -> int:
        """Place of a latent."""
        if key not in self._places:
            self._places[key] = len(self._places)
            self._latents[key] = Latent(key, group, owner)
        return self._places[key]

    def exactly(self, value: float) -> int:
        """A value without scatter."""
        return self._add(-1, -1, 0.0, 0.0, (value, 0.0, 0.0, 1.0, 0.0, -math.inf, math.inf))

    def add(
        self,
        band: Band,
        own: tuple[str, Group, int],
        common: tuple[str, Group] | None = None,
        share: float = 0.0,
        *,
        linear: bool = False,
        above: float = 0.0,
        most: float = math.inf,
        least: float = 0.0,
    ) -> int:
        """A value with scatter; its place.

        Parameters
        ----------
        band : Band
        own : tuple
            Key, group and owner of its own latent.
        common : tuple, optional
            Key and group of the latent that it shares with others.
        share : float
            Part of its variance that is common, 0 to 1.
        linear : bool
            Take the band on a straight scale even where it is above 0.
        above : float
            The scatter is that of the difference from this value.
        least, most : float
            Physical ends.
        """
        name = (own[0], common[0] if common else "")
        if name in self._known:
            return self._known[name]
        if band.min == band.max:
            place = self.exactly(band.typical)
            if not band.stated:
                self.exact.add(own[1])
            self._known[name] = place
            return place
        low, typical, high = (v - above for v in (band.min, band.typical, band.max))
        straight = linear or low <= 0.0
        if straight:
            up, down = (high - typical) / self.sigmas, (typical - low) / self.sigmas
        else:
            up, down = (
                math.log(high / typical) / self.sigmas,
                math.log(typical / low) / self.sigmas,
            )
        c = self.latent(common[0], common[1]) if common and share > 0.0 else -1
        o = self.latent(*own) if share < 1.0 or c < 0 else -1
        wc = math.sqrt(share) if c >= 0 else 0.0
        wo = 0.0 if o < 0 else math.sqrt(1.0 - share) if c >= 0 else 1.0
        row = (typical, up, down, float(straight), above, least, most)
        self._known[name] = self._add(c, o, wc, wo, row)
        return self._known[name]

    def position(self, own: tuple[str, Group, int], common: tuple[str, Group], share: float) -> int:
        """A value's place in its range: -1 at the low end of its band, 1 at the high end."""
        wide = Band(-1.0, 0.0, 1.0)
        return self.add(wide, own, common, share, linear=True, least=-math.inf)

    def _add(self, c: int, o: int, wc: float, wo: float, row: tuple[float, ...]) -> int:
        self._rows.append((float(c), float(o), wc, wo, *row))
        return len(self._rows) - 1

    def done(self) -> Quantities:
        """All that was collected."""
        mixed, mix = self._mixed()
        t = np.array(self._rows, dtype=np.float64).reshape(-1, 11).T
        none = len(self._places)

        def places(column: Floats) -> Ints:
            return np.where(column < 0, none, column).astype(np.intp)

        return Quantities(
            tuple(self._latents.values()),
            places(t[0]),
            places(t[1]),
            t[2],
            t[3],
            t[4],
            t[5],
            t[6],
            t[7] > 0.5,
            t[8],
            t[9],
            t[10],
            mixed,
            mix,
        )

    def _mixed(self) -> tuple[Ints, Floats]:
        """Latents drawn together: all of a set, wherever one of them is used."""
        places: list[int] = []
        roots: list[Floats] = []
        for one in self.together:
            if any(key in self._places for key in one.keys):
                places += [self.latent(k, g) for k, g in zip(one.keys, one.groups, strict=True)]
                roots.append(one.root)
        mix = np.zeros((len(places), len(places)))
        start = 0
        for root in roots:
            stop = start + root.shape[0]
            mix[start:stop, start:stop] = root
            start = stop
        return np.array(places, dtype=np.intp), mix
