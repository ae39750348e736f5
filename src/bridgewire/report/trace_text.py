"""What happens in a trace, event by event."""

from __future__ import annotations

import numpy as np

from bridgewire.report.plain_text import visible, wrap
from bridgewire.timeline.trace import CueTrace, IgniterTrace
from bridgewire.units import amperes, seconds


def trace_text(trace: CueTrace, width: int = 80) -> str:
    """Write a trace's events in order of time.

    Parameters
    ----------
    trace : CueTrace
    width : int
    """
    head = f"{trace.show}: cue {trace.cue} on way {trace.way}, {_corner(trace)}"
    lines = wrap(visible(head), width)
    events: list[tuple[float, str]] = []
    for n, (start, end) in enumerate(trace.pulses_s):
        name = "pulse" if len(trace.pulses_s) == 1 else f"pulse {n + 1}"
        events += [(start, f"{name} begins"), (end, f"{name} ends")]
    for igniter in trace.igniters:
        events += _events(trace, igniter)
    events.sort(key=lambda e: e[0])
    for time, text in events:
        lines += wrap(visible(text), width, f"  {seconds(time) if time else '0 s':>9}  ")
    for igniter in trace.igniters:
        if igniter.light_s is None and igniter.state[0] == "unlit":
            peak = 100.0 * float(igniter.rise.max())
            most = amperes(float(max(igniter.current_A.max(), igniter.before_A.max())))
            text = f"{igniter.id} is not lit: at most {most}, {peak:.0f} % of the rise it needs"
            lines += wrap(visible(text), width, f"  {'':>9}  ")
    return "\n".join(lines) + "\n"


def _corner(trace: CueTrace) -> str:
    if trace.corner == "typical":
        return "typical values"
    when = "latest" if trace.corner == "slow" else "earliest"
    return f"corner in which {trace.target} lights {when}"


def _events(trace: CueTrace, igniter: IgniterTrace) -> list[tuple[float, str]]:
    events: list[tuple[float, str]] = []
    for time, word in ((igniter.light_s, "lights"), (igniter.part_s, "")):
        if time is None or not trace.time_s[0] - 1e-9 <= time <= trace.time_s[-1] + 1e-9:
            continue
        k = int(np.argmin(np.abs(trace.time_s - time)))
        current = float(igniter.before_A[k] if igniter.before_A[k] else igniter.current_A[k])
        verb = word or ("burns open" if igniter.state[k] == "open" else f"ends {igniter.state[k]}")
        events.append((time, f"{igniter.id} {verb} at {amperes(current)}"))
    if igniter.state[0] != "unlit" and trace.time_s.size:
        events.append((float(trace.time_s[0]), f"{igniter.id} is {igniter.state[0]} from before"))
    return events
