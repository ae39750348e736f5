"""One stream of standard normal values for each named latent, the same wherever it is drawn.

The value of latent *key* in draw *n* depends on the seed, the key, *n* and, with Latin sampling,
the count of draws; never on which other latents there are, on the order in which they are asked
for, on how the draws are cut into blocks or on the process that draws them.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from typing import Literal

import numpy as np
from attrs import frozen

from bridgewire.physics.network import Floats
from bridgewire.uncertainty.normal import quantile

Sampling = Literal["latin", "plain"]
KEPT = 512
"""Blocks of values that are kept: 40 MB with 10,000 draws."""
_PER_COUNT = 4
"""Values that the Philox generator makes for each step of its counter."""


@frozen
class Streams:
    """Standard normal values of any latent.

    Attributes
    ----------
    seed : int
    draws : int
        How many draws there are in all, at least 1.
    sampling : str
        ``latin``: each latent has exactly one value in each of `draws` strata of equal
        probability, in an order of its own. ``plain``: independent values.

    Notes
    -----
    Latin hypercube sampling takes the part of the variance away that is a sum of functions of
    single latents; the variance of a mean is never more than ``draws / (draws - 1)`` of plain
    sampling (A. B. Owen, SIAM J. Numer. Anal. 34, 1997; from memory), so that intervals made for
    independent draws stay valid.

    Examples
    --------
    >>> s = Streams(7, 1000)
    >>> whole = s.normals("drum/reel", 0, 1000)
    >>> bool((whole[300:305] == s.normals("drum/reel", 300, 305)).all())
    True
    >>> bool(abs(whole.mean()) < 1e-3)
    True
    """

    seed: int
    draws: int
    sampling: Sampling = "latin"

    def normals(self, key: str, start: int, stop: int) -> Floats:
        """Values of a latent in draws `start` to `stop` (left out); not to be changed."""
        return _normals(self, key, start, stop)

    def _fresh(self, key: str, start: int, stop: int) -> Floats:
        number = _number(f"{self.seed}/{key}")
        skip = start % _PER_COUNT
        raw = np.random.Philox(key=number, counter=start // _PER_COUNT).random_raw(
            stop - start + skip
        )[skip:]
        # The middle of one of 2^53 cells: never 0 and never 1.
        uniform = ((raw >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53
        if self.sampling == "latin":
            order = np.random.Generator(np.random.Philox(key=_number(f"{self.seed}/order/{key}")))
            uniform = (order.permutation(self.draws)[start:stop] + uniform) / self.draws
            # Rounding may reach 1 in the last stratum.
            uniform = np.minimum(uniform, 1.0 - 2.0**-53)
        return quantile(uniform)

    def generator(self, purpose: str) -> np.random.Generator:
        """A generator of its own for one purpose."""
        return np.random.Generator(np.random.Philox(key=_number(f"{self.seed}/for/{purpose}")))


@lru_cache(maxsize=KEPT)
def _normals(streams: Streams, key: str, start: int, stop: int) -> Floats:
    """Neighbouring circuits share many latents."""
    values = streams._fresh(key, start, stop)
    values.flags.writeable = False
    return values


def _number(text: str) -> int:
    """A 128-bit number for a text, the same in every process and on every machine."""
    return int.from_bytes(hashlib.blake2b(text.encode("utf-8"), digest_size=16).digest(), "little")
