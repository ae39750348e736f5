"""From a show and its kits to a layout; reports all problems at once."""

from __future__ import annotations

from bridgewire.circuit.addresses import cues_of, igniters_of
from bridgewire.circuit.amounts import check_amounts
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.drums import check_drums
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.parts import boxes_of, connect, count_strips, give_outputs, parts_of
from bridgewire.circuit.places import coordinates, length_of_run
from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import Finding
from bridgewire.model.show import Show
from bridgewire.physics.laws import Models


def resolve(
    show: Show, catalogue: Catalogue, models: Models | None = None
) -> tuple[Layout | None, tuple[Finding, ...]]:
    """Resolve a show against its kits.

    Returns
    -------
    layout : Layout or None
        None if there is any problem.
    problems : tuple of Finding
        Dangling references (DOC011), duplicate ids (DOC010), cycles (DOC012), inlets fed twice
        (DOC013), too many strips (DOC014), outlets used up (DOC015) and more igniters or pulses
        than can be computed (DOC009), each with its path.
    """
    problems = Problems()
    places = coordinates(show, problems)
    boxes = boxes_of(show, catalogue, problems)
    parts = parts_of(show, catalogue, problems)
    cables = connect(show, catalogue, boxes, parts, problems)
    check_drums(show, catalogue, problems)
    give_outputs(parts, show, problems)
    strips_on_output = count_strips(boxes, parts, problems)
    igniters, by_way, igniter_ids = igniters_of(show, catalogue, parts, problems)
    cues = cues_of(show, boxes, parts, igniters, igniter_ids, problems)
    check_amounts(show, by_way, problems)
    if problems.found:
        return None, tuple(problems.found)
    layout = Layout(
        show=show,
        catalogue=catalogue,
        boxes=boxes,
        parts=parts,
        run_lengths=[length_of_run(show, i, places) for i in range(len(show.run))],
        run_cables=cables,
        igniters=igniters,
        by_way=by_way,
        strips_on_output=strips_on_output,
        cues=cues,
        igniter_ids=igniter_ids,
        models=models or Models(),
    )
    return layout, ()
