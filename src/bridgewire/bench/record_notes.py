"""What a bench record rests on without saying it: said aloud, so that nobody is surprised."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.bench.forward import BenchModel
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C


def observations(model: BenchModel) -> int:
    """How many things were written down that the model can be held against."""
    total = 0
    for trial in model.record.trial:
        total += len(trial.reading)
        for shot in trial.shot:
            for seen in shot.seen:
                stated = (seen.lit, seen.order, seen.time_s, seen.reading_ohm)
                total += sum(v is not None for v in stated)
                total += seen.state_after not in (None, "unknown")
    return total


def samples_unused(kit: str) -> str:
    """That a record takes a kit's values as independent, though it has samples."""
    return (
        f"Kit {kit} has samples of how its values go together. Records do not use them: before "
        "the trials its values count as independent, each within its band."
    )


def assumptions(model: BenchModel) -> Iterator[str]:
    """Yield what is taken for granted, one sentence each."""
    record = model.record
    if record.site.ambient_C is None and any(t.ambient_C is None for t in record.trial):
        assumed = UNKNOWN_AMBIENT_C
        yield (f"The record states no ambient_C: {assumed.min:g} to {assumed.max:g} °C is assumed.")
    no_rest = [t.id for t in record.trial if any(s.rest_s is None for s in t.shot[1:])]
    if no_rest:
        yield (
            f"No rest_s before some shots of trial {', '.join(no_rest)}: every igniter is taken to "
            "be cold again by then."
        )
    no_volts = [t.id for t in record.trial if any(s.supply_V is None for s in t.shot)]
    if no_volts:
        yield (
            f"No supply_V before some shots of trial {', '.join(no_volts)}: the box's or the kit's "
            "voltage is used, with its tolerance."
        )
    if record.meter.voltage_tol_V is None and any(
        s.supply_V is not None and not s.supply_V.stated for t in record.trial for s in t.shot
    ):
        yield "No voltage_tol_V under [meter]: supply voltages are taken as exact."
    if model.exact:
        yield f"Values without a tolerance, taken as exact: {', '.join(model.exact)}."
    for kit, found in model.loaded.kits.items():
        if found.samples is not None:
            yield samples_unused(kit)
    batches = {
        i.batch
        for igniters in (*(b.igniter for b in record.bench), *(t.igniter for t in record.trial))
        for i in igniters
        if i.batch is not None
    }
    if len(batches) > 1:
        yield (
            f"Igniters of {len(batches)} batches are taken as one population of their class; "
            "what sets a batch apart counts as scatter."
        )
