"""What a box's continuity test sends through igniters."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import define, field

from bridgewire.circuit.layout import PlacedIgniter, WayKey
from bridgewire.circuit.ways import WayCircuit
from bridgewire.diagnostics import DocPath, Finding
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, ContinuityTest
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.units import amperes


@define
class TestedClass:
    """Igniters of one class that one kind of box tests with too much current."""

    kind_id: str
    class_id: str
    current_A: Band
    limit_A: float
    place: tuple[str, DocPath]
    """Document and path of the test current."""
    igniters: list[tuple[PlacedIgniter, WayKey]] = field(factory=list)

    def finding(self, rule: Rule, what: str) -> Finding:
        """The finding of a rule, with what the test does in words."""
        document, path = self.place
        return rule.finding(
            f"the continuity test of box {self.kind_id!r} {what}",
            path,
            document=document,
            measured=self.current_A.max,
            limit=self.limit_A,
            unit="A",
            subjects=(self.kind_id, self.class_id, *(p.id for p, _ in self.igniters)),
            remedy="do not test these igniters with this box; use a tester of at most "
            f"{amperes(self.limit_A)} into a short circuit, with everybody at firing distance",
        )


def over_limit(context: Context, *, shared: bool) -> Iterator[TestedClass]:
    """Igniters whose test current is above the published limit, by kind of box and class.

    Parameters
    ----------
    context : Context
    shared : bool
        Whether to look at igniters that share the tester's current with others (in parallel, or
        through sneak paths), or at those that have it alone.
    """
    found: dict[tuple[str, str], TestedClass] = {}
    for way, placed in context.layout.by_way.items():
        _, kind, kind_id = context.layout.boxes[way[0]]
        current = None if kind.continuity_test is None else kind.continuity_test.current_A
        if current is None or shares_current(context, way, kind) != shared:
            continue
        for p in placed:
            if p.klass.no_fire_A is None:
                continue
            limit = float(allowed_test_current_A(p.klass.no_fire_A))
            if current.max <= limit * (1.0 + 1e-9):
                continue
            document, path = context.kit_place("box", kind_id)
            entry = found.setdefault(
                (kind_id, p.class_id),
                TestedClass(
                    kind_id,
                    p.class_id,
                    current,
                    limit,
                    (document, (*path, "continuity_test", "current_A")),
                ),
            )
            entry.igniters.append((p, way))
    yield from found.values()


def shares_current(context: Context, way: WayKey, kind: BoxKind) -> bool:
    """Whether the test current of a way can divide between igniters."""
    if kind.path.map == "matrix" and kind.path.diode is None:
        return True
    return len(context.circuit(way).strings) > 1


def largest_share(way: WayCircuit, igniter: int) -> float:
    """Largest part of a way's current that one igniter gets while all are whole.

    Its own path takes the least of every resistance, everything else the highest.
    """
    return max(
        _share(way, s)
        for s, string in enumerate(way.strings)
        if any(way.bridge_igniter[b] == igniter for b in string.bridges)
    )


def _share(way: WayCircuit, string: int) -> float:
    own = set(way.path_to(string))
    conductance: list[float] = []
    load = [0.0] * len(way.nodes)
    for i, s in enumerate(way.strings):
        ohm = float(way.string_ohm[i, 0 if i == string else 2])
        for data in (way.bridge_data[b] for b in s.bridges):
            if data is not None:
                ohm += data.bridge_ohm.min if i == string else data.bridge_ohm.max
        conductance.append(1.0 / ohm)
        load[s.node] += conductance[-1]
    arm = [0.0] * len(way.nodes)
    for n in range(len(way.nodes) - 1, 0, -1):
        ohm = float(way.node_ohm[n, 0 if n in own else 2])
        arm[n] = load[n] / (1.0 + ohm * load[n])
        load[way.nodes[n].parent] += arm[n]
    node = way.strings[string].node
    share = conductance[string] / load[node]
    while node:
        parent = way.nodes[node].parent
        share *= arm[node] / load[parent]
        node = parent
    return share


def tested_ways(context: Context) -> Iterator[tuple[WayKey, ContinuityTest, WayCircuit]]:
    """Ways with igniters whose box has a continuity test and whose circuit is known.

    A test current of 0 says that the box has no test.
    """
    for way in context.layout.by_way:
        test = context.layout.boxes[way[0]][1].continuity_test
        if test is None or (test.current_A is not None and test.current_A.max <= 0.0):
            continue
        circuit = context.circuit(way)
        if not any(m.blocks for m in circuit.missing):
            yield way, test, circuit
