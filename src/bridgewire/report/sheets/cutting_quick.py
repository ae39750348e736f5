"""A quick cutting plan: a good one with bounds on how good any could be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from bridgewire.report.sheets.cutting_plan import Cut, Demand, Plan, Stock


def quick_plan(stocks: Sequence[Stock], demands: Sequence[Demand]) -> Plan:
    """Longest pieces first, each from the opened drum with the least room that it fits."""
    free = {s.id: s.count for s in stocks}
    lengths = {s.id: s.length for s in stocks}
    opened: list[tuple[str, list[Demand]]] = []
    room: list[int] = []
    uncut: Counter[Demand] = Counter()
    for d in demands:
        one = Demand(d.length, 1, d.pinned)
        for _ in range(d.count):
            fits = [
                i
                for i, (name, _) in enumerate(opened)
                if room[i] >= d.length and d.pinned in (None, name)
            ]
            if fits:
                i = min(fits, key=lambda k: room[k])
            else:
                fresh = [
                    s
                    for s, n in free.items()
                    if n and lengths[s] >= d.length and d.pinned in (None, s)
                ]
                if not fresh:
                    uncut[d] += 1
                    continue
                name = max(fresh, key=lambda s: lengths[s])
                free[name] -= 1
                opened.append((name, []))
                room.append(lengths[name])
                i = len(opened) - 1
            opened[i][1].append(one)
            room[i] -= d.length
    total = sum(d.length * d.count for d in demands)
    have = sum(s.length * s.count for s in stocks)
    least_uncut = max(0, total - have)
    need = total - sum(d.length * n for d, n in uncut.items())
    least = 0
    for length in sorted((s.length for s in stocks for _ in range(s.count)), reverse=True):
        if need <= 0:
            break
        need -= length
        least += 1
    cuts = tuple(Cut(name, tuple(p), left) for (name, p), left in zip(opened, room, strict=True))
    left_out = tuple(Demand(d.length, n, d.pinned) for d, n in uncut.items())
    return Plan(cuts, left_out, False, least_uncut, least)
