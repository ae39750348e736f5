"""The corpus through every loader, and with the extra ``fuzz`` a short run of the fuzzer."""

from __future__ import annotations

import importlib.util
import os
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.fuzz.run import run_target
from tests.fuzz.targets import BY_NAME, MOST_BYTES, TARGETS, Target, feed, place_for

CORPUS = Path(__file__).parent / "corpus"
MOST_MEMORY = 60_000_000
SECONDS = 2


def seeds(target: Target) -> list[Path]:
    """The inputs kept for a target."""
    return sorted((CORPUS / target.name).iterdir())


def variants(raw: bytes) -> Iterator[bytes]:
    """A seed, and what comes of it by cutting, swapping and spoiling, the same every time."""
    yield raw
    third = max(len(raw) // 3, 1)
    yield raw[:third]
    yield raw[third:]
    yield raw[third:] + raw[:third]
    for spoil in (b"\0", b"\xff", b"\xe2\x80\xae", b'"', b"[", b"9" * 400, b"\r", b"\x1b[31m"):
        yield raw[:third] + spoil + raw[third:]
    yield raw.replace(b"1", b"-1e308").replace(b"0", b"nan")
    yield raw.replace(b'"', b"'").replace(b"\n", b"\r\n")


def test_every_target_has_a_corpus_and_every_corpus_a_target() -> None:
    assert {p.name for p in CORPUS.iterdir()} == set(BY_NAME)
    for target in TARGETS:
        assert seeds(target)
        assert sum(p.stat().st_size for p in seeds(target)) < 60_000


@pytest.mark.parametrize("target", TARGETS, ids=lambda t: t.name)
def test_corpus(target: Target) -> None:
    outcomes = set()
    with place_for(target) as file:
        for seed in seeds(target):
            raw = seed.read_bytes()
            assert len(raw) <= MOST_BYTES
            outcomes.add(feed(target, file, raw))
            for changed in variants(raw):
                feed(target, file, changed)
    # One seed at least gets through to the end of the loader.
    assert "read" in outcomes


@pytest.mark.parametrize("target", TARGETS, ids=lambda t: t.name)
def test_memory_of_the_largest_seed(target: Target) -> None:
    raw = max((p.read_bytes() for p in seeds(target)), key=len)
    with place_for(target) as file:
        feed(target, file, raw)
        tracemalloc.start()
        try:
            feed(target, file, raw, slow_s=30.0)
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
    assert peak < MOST_MEMORY


def test_a_fault_is_seen(tmp_path: Path) -> None:
    def broken(path: Path) -> None:
        raise KeyError(path.name)

    target = Target("broken", "toml", broken)
    with place_for(target) as file, pytest.raises(KeyError):
        feed(target, file, b"x = 1")


@pytest.mark.oracle
@pytest.mark.slow
@pytest.mark.parametrize("target", TARGETS, ids=lambda t: t.name)
def test_short_run_of_the_fuzzer(target: Target, tmp_path: Path) -> None:
    if importlib.util.find_spec("atheris") is None:
        if os.environ.get("BRIDGEWIRE_REQUIRE_ORACLES") == "1":
            pytest.fail("atheris is not installed: pip install 'bridgewire[fuzz]'")
        pytest.skip("atheris is not installed")
    report = run_target(target.name, SECONDS, tmp_path, seed=1)
    assert report["faults"] == []
    assert report["executions"] >= len(seeds(target))
    assert report["coverage_after"] > 0
