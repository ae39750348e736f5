"""The difference of two revisions of one show or of a folder of shows, and how to say it."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.report.contents import Checked
from bridgewire.report.diff_changes import (
    CueMove,
    FigureChange,
    KitChange,
    ShowDiff,
    Turn,
    VerdictChange,
)
from bridgewire.report.figures import light_band, number
from bridgewire.report.plain_text import count
from bridgewire.timeline.outcomes import IgniterOutcome, Verdict

_WORST_FIRST = (Verdict.NO, Verdict.UNKNOWN, None, Verdict.MARGINAL, Verdict.SURE)


@frozen
class RunDiff:
    """What changed between two revisions of shows.

    Attributes
    ----------
    shows : tuple of ShowDiff
        Shows of both revisions, also those in which nothing changed.
    new_shows : tuple of Checked
    gone_shows : tuple of str
        File names in the old revision.
    """

    shows: tuple[ShowDiff, ...]
    new_shows: tuple[Checked, ...] = ()
    gone_shows: tuple[str, ...] = ()

    @property
    def got_worse(self) -> bool:
        """Whether a verdict of any show got worse."""
        return any(s.got_worse for s in self.shows)

    @property
    def several(self) -> bool:
        """Whether it speaks of more than one show."""
        return len(self.shows) + len(self.new_shows) + len(self.gone_shows) > 1

    def turned(self, turn: Turn) -> list[tuple[ShowDiff, VerdictChange]]:
        """Changes of verdicts that went one way, the worst new verdict first."""
        found = [(s, v) for s in self.shows for v in s.turned(turn)]
        return sorted(found, key=lambda pair: _WORST_FIRST.index(pair[1].after))

    def headline(self) -> str:
        """The whole in a few words.

        >>> RunDiff(()).headline()
        'nothing changed in verdicts'
        """
        counts = {turn: len(self.turned(turn)) for turn in Turn}
        words = {Turn.WORSE: "worse", Turn.BETTER: "better", Turn.OTHER: "changed otherwise"}
        parts = [f"{count(n, 'verdict')} {words[turn]}" for turn, n in counts.items() if n]
        if not parts:
            parts = ["nothing changed in verdicts"]
        if self.new_shows:
            parts.append(count(len(self.new_shows), "new show"))
        if self.gone_shows:
            parts.append(f"{count(len(self.gone_shows), 'show')} gone")
        return ", ".join(parts)


def verdict_text(change: VerdictChange) -> str:
    """``sure -> marginal``, ``new: no``, or that no cue lights it any more."""
    if change.after is None:
        return f"{_word(change.before)} -> no cue lights it any more"
    if change.before is None:
        return f"new: {change.after.value}"
    return f"{_word(change.before)} -> {change.after.value}"


def _word(verdict: Verdict | None) -> str:
    return "" if verdict is None else verdict.value


def margin_text(change: VerdictChange) -> str:
    """Margins at the worst corner, before and after."""
    return _beside(_margin(change.old), _margin(change.new))


def light_text(change: VerdictChange) -> str:
    """Bands of light times, before and after."""
    return _beside(_light(change.old), _light(change.new))


def _beside(before: str, after: str) -> str:
    if before and after:
        return before if before == after else f"{before} -> {after}"
    return (before and f"{before} before") or after


def _margin(igniter: IgniterOutcome | None) -> str:
    if igniter is None:
        return ""
    return "not known" if igniter.margin is None else number(igniter.margin)


def _light(igniter: IgniterOutcome | None) -> str:
    return "" if igniter is None else light_band(igniter.light)


def figure_text(change: FigureChange) -> str:
    """A margin or a time, before and after, with the unit.

    >>> figure_text(FigureChange("c", "i", "latest light", "s", 0.5, math.inf, Turn.WORSE))
    'latest light 0.5 s -> never'
    """
    return (
        f"{change.quantity} {_figure(change.before, change.unit)} -> "
        f"{_figure(change.after, change.unit)}"
    )


def _figure(value: float | None, unit: str) -> str:
    if value is None:
        return "not known"
    if math.isinf(value):
        return "never" if unit == "s" else "beyond measure"
    if unit == "s" and abs(value) < 0.1:
        return f"{number(value * 1e3)} ms"
    return f"{number(value)} {unit}".rstrip()


def move_text(move: CueMove) -> str:
    """What to set otherwise for a cue; without its id.

    >>> move_text(CueMove("opening", "start", (5.0, 6.5), (0.5, None)))
    "was 'start'; switches at 6.5 s instead of 5 s; pulse not stated instead of 0.5 s"
    """
    parts = []
    if move.was != move.cue:
        parts.append(f"was {move.was!r}")
    if move.switch_s is not None:
        before, after = move.switch_s
        parts.append(f"switches at {_moment(after)} instead of {_moment(before)}")
    if move.pulse_s is not None:
        was, now = ("not stated" if p is None else f"{number(p)} s" for p in move.pulse_s)
        parts.append(f"pulse {now} instead of {was}")
    if move.way is not None:
        there, here = ("none" if w is None else "/".join(map(str, w)) for w in move.way)
        parts.append(f"way {here} instead of {there}")
    return "; ".join(parts)


def _moment(seconds: float) -> str:
    """A time of the show to the millisecond; hours of show must not lose seconds."""
    text = f"{seconds:.3f}".rstrip("0").rstrip(".")
    return f"{text if text not in ('-0', '') else '0'} s"


def kit_text(change: KitChange) -> str:
    """What became of a kit profile; without its id."""
    if change.before is None:
        assert change.after is not None
        return f"added, version {change.after.version or 'not stated'}"
    if change.after is None:
        return "not used any more"
    if change.same_version:
        stated = change.after.version or "not stated"
        return f"contents changed, version still {stated}"
    before, after = (k.version or "not stated" for k in (change.before, change.after))
    return f"version {before} -> {after}"
