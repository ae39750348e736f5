"""What is fuzzed: every loader that reads a file of others.

A target writes the bytes to a file of its kind, with the files that must lie beside it, and
reads it. Nothing but `InputError` may come out.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from attrs import field, frozen

from bridgewire.authoring.answers_file import profile_of_answers
from bridgewire.bench.sensitivity.reading import read_trial_files
from bridgewire.documents.loader import load_bench, load_kit, load_show
from bridgewire.documents.readings_csv import read_readings
from bridgewire.documents.site_loader import load_site
from bridgewire.errors import InputError
from bridgewire.kits.discovery import load_kit_file, shipped_profiles_dir
from bridgewire.kits.samples import read_samples
from bridgewire.report.baseline_file import read_baseline

SLOW_S = 2.0
"""An input of at most `MOST_BYTES` that takes longer counts as a crash."""
MOST_BYTES = 8192
"""Longest input that the fuzzer makes."""

SHOW_WITH_LIST = """format = 1
title = "Regatta Night"
kits = ["generic"]
[cue_list]
file = "x.csv"
[cue_list.columns]
id = "Cue"
fire = "Address"
time_s = "Switch at"
pulse_s = "Pulse"
repeat_times = "Times"
repeat_gap_s = "Gap"
lights = "Lights"
together = "Together"
"""
RECORD_WITH_RESULTS = """format = 1
title = "Evening"
kits = ["harrowmere", "generic"]
results = { file = "x.csv" }
meter = { resistance_tol_ohm = 0.05, time_tol_s = 0.1 }
[[trial]]
id = "1"
[[trial.box]]
id = "heron-1"
kind = "heron"
[[trial.strip]]
id = "a"
kind = "jetty-strip-8"
[[trial.run]]
from = "heron-1/1"
to = "a"
cable = "pair-0.75"
length_m = 20
[[trial.igniter]]
id = "a-1"
at = "a/1"
class = "lantern-match"
"""
RESULTS = "trial,shot,igniter,class,place,pulse_s,lit\n1,7,a-1,lantern-match,a/1,0.5,no\n"
KIT_WITH_SAMPLES = """format = 1
id = "fitted"
samples = "x.csv"
[[cable]]
id = "pair"
ohm_per_m = 0.05
metal = "copper"
conductors = 2
stranding = "stranded"
[[contact]]
id = "clip"
contact_ohm = 0.02
"""
PLACES: Mapping[tuple[str, int, int], tuple[str, ...]] = {
    ("heron-1", 1, 1): ("box", "west", "east"),
    ("heron-1", 1, 2): ("box", "west"),
    ("heron-1", 1, 3): ("box", "west", "east"),
    ("teal-1", 12, 8): ("box", "=1+1", "<b>"),
}


@frozen
class Target:
    """One loader.

    Attributes
    ----------
    name : str
    ending : str
        Of the file that the bytes are written to.
    load : callable
        Takes the file.
    beside : mapping of str to str
        Files in the same folder.
    """

    name: str
    ending: str
    load: Callable[[Path], object]
    beside: Mapping[str, str] = field(factory=dict)


def _show(path: Path) -> None:
    _, document = load_show(path)
    document.spans.locate(("cue", 0, "fire"))


def _show_beside(path: Path) -> None:
    _show(path.with_name("show.toml"))


def _record_beside(path: Path) -> None:
    load_bench(path.with_name("record.toml"))


def _kit(path: Path) -> None:
    loaded = load_kit_file(path, [shipped_profiles_dir()])
    assert loaded.origins is not None


def _samples(path: Path) -> None:
    profile = path.with_name("kit.toml")
    kit, _ = load_kit(profile)
    samples, problems = read_samples(kit, profile)
    assert (samples is None) == bool(problems)
    if samples is not None:
        samples.correlation()


def _readings(path: Path) -> None:
    read_readings(path, PLACES)


def _go_no_go(path: Path) -> None:
    read_trial_files([str(path)], positive=True, in_order=False)


TARGETS = (
    Target("show-toml", "toml", _show),
    Target("show-yaml", "yaml", _show),
    Target("show-json", "json", _show),
    Target("kit", "toml", _kit),
    Target("cue-list", "csv", _show_beside, {"show.toml": SHOW_WITH_LIST}),
    Target("readings", "csv", _readings),
    Target("bench-record", "toml", load_bench, {"results.csv": RESULTS}),
    Target("bench-results", "csv", _record_beside, {"record.toml": RECORD_WITH_RESULTS}),
    Target("go-no-go", "csv", _go_no_go),
    Target("baseline", "toml", read_baseline),
    Target("answers", "toml", profile_of_answers),
    Target("site", "toml", load_site),
    Target("samples", "csv", _samples, {"kit.toml": KIT_WITH_SAMPLES}),
)
BY_NAME = {t.name: t for t in TARGETS}


class SlowError(Exception):
    """A small input took too long."""


@contextmanager
def place_for(target: Target) -> Iterator[Path]:
    """Make a folder with the files beside, in memory where that can be; yield the file to write."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        for name, text in target.beside.items():
            Path(folder, name).write_text(text, encoding="utf-8")
        yield Path(folder, f"x.{target.ending}")


def feed(target: Target, file: Path, raw: bytes, slow_s: float = SLOW_S) -> str:
    """Let a target read some bytes.

    Returns
    -------
    str
        ``read`` or ``refused``.

    Raises
    ------
    SlowError
        If it took longer than `slow_s`.
    Exception
        Whatever came out that is not `InputError`: a fault.
    """
    file.write_bytes(raw)
    started = time.process_time()
    try:
        target.load(file)
        outcome = "read"
    except InputError as error:
        if not error.findings:
            raise ValueError("refused without a word") from error
        outcome = "refused"
    taken = time.process_time() - started
    if taken > slow_s:
        raise SlowError(f"{len(raw)} bytes took {taken:.1f} s")
    return outcome
