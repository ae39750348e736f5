"""How much of a cue's time a drawing of its currents shows."""

from __future__ import annotations

import math

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.report.figures import short_time

Floats = NDArray[np.float64]

_BEFORE = 0.4
"""A drawing is cut where all current has ended before this share of the pulse."""


@frozen
class Window:
    """The end of a drawing's time axis.

    Attributes
    ----------
    end_s : float
        From the switching of the cue.
    note : str
        What is cut off, as a sentence; empty where nothing is.
    """

    end_s: float
    note: str = ""

    @property
    def scale(self) -> tuple[float, str]:
        """Factor from seconds, and the unit in which its figures have few noughts.

        >>> Window(2.0).scale, Window(0.02).scale, Window(4e-5).scale
        ((1.0, 's'), (1000.0, 'ms'), (1000000.0, 'µs'))
        """
        if self.end_s >= 1.0:
            return 1.0, "s"
        return (1e3, "ms") if self.end_s >= 1e-3 else (1e6, "µs")


def window(pulse_end_s: float, last_current_s: float, whole_s: float) -> Window:
    """Choose where a drawing ends.

    Parameters
    ----------
    pulse_end_s : float
        End of the last pulse, from the switching of the cue.
    last_current_s : float
        From when on no igniter carries current.
    whole_s : float
        Where the drawing ends if nothing is cut.

    Returns
    -------
    Window
        Igniters that burn open within a small part of the pulse would else be a stroke on the
        left edge.

    Examples
    --------
    >>> window(0.5, 0.000071, 0.6)
    Window(end_s=0.0001, note='No current flows after this; the pulse goes on to 0.500 s.')
    >>> window(0.5, 0.4, 0.6)
    Window(end_s=0.6, note='')
    """
    if not 0.0 < last_current_s < _BEFORE * pulse_end_s:
        return Window(whole_s)
    note = f"No current flows after this; the pulse goes on to {short_time(pulse_end_s)}."
    return Window(_round_up(1.4 * last_current_s), note)


def until(t: Floats, v: Floats, end: float) -> tuple[Floats, Floats]:
    """A curve up to an end, with a point on that end.

    Parameters
    ----------
    t, v : array
        Times, rising, and values; the first time is no later than `end`.
    end : float

    Examples
    --------
    >>> [a.tolist() for a in until(np.array([0.0, 1.0, 3.0]), np.array([0.0, 2.0, 4.0]), 2.0)]
    [[0.0, 1.0, 2.0], [0.0, 2.0, 3.0]]
    """
    inside = t <= end
    if inside.all():
        return t, v
    first = int(np.flatnonzero(~inside)[0])
    part = (end - t[first - 1]) / (t[first] - t[first - 1])
    last = v[first - 1] + part * (v[first] - v[first - 1])
    return np.append(t[:first], end), np.append(v[:first], last)


def _round_up(time_s: float) -> float:
    """A round time that is no shorter, so that cues that are much alike share an axis.

    >>> _round_up(0.00071), _round_up(3.3e-5)
    (0.0008, 4e-05)
    """
    scale = 10.0 ** math.floor(math.log10(time_s))
    steps = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
    return float(f"{next(s for s in steps if time_s <= s * scale * (1 + 1e-9)) * scale:.3g}")
