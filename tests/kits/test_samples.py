"""Samples beside a kit profile: reading, and what is wrong with them."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from bridgewire.errors import InputError
from bridgewire.kits.discovery import load_kit_file
from bridgewire.kits.normal_scores import normal_scores

PROFILE = """\
format = 1
id = "club"
samples = "club.samples.csv"

[[contact]]
id = "plug"
contact_ohm = { min = 0.003, typical = 0.008, max = 0.025 }

[[cable]]
id = "reel"
metal = "copper"
stranding = "solid"
conductors = 8
ohm_per_m = { min = 0.081, typical = 0.084, max = 0.088 }
"""


def table(rows: int = 200, correlation: float = 0.8) -> str:
    rng = np.random.default_rng(1)
    a = rng.standard_normal(rows)
    b = correlation * a + math.sqrt(1 - correlation**2) * rng.standard_normal(rows)
    lines = ["cable/reel/ohm_per_m,cable/reel/ohm_per_m/scatter_pct,contact/plug/contact_ohm"]
    lines += [
        f"{0.084 * math.exp(0.01 * x):.6g},1,{0.008 * math.exp(0.2 * y):.6g}"
        for x, y in zip(a, b, strict=True)
    ]
    return "\n".join(lines) + "\n"


def written(folder: Path, text: str, profile: str = PROFILE) -> Path:
    (folder / "club.samples.csv").write_text(text, encoding="utf-8")
    file = folder / "club.toml"
    file.write_text(profile, encoding="utf-8")
    return file


def test_samples_are_read(tmp_path: Path) -> None:
    loaded = load_kit_file(written(tmp_path, table()))
    assert loaded.samples is not None
    assert loaded.samples.columns == (
        ("cable", "reel", "ohm_per_m"),
        ("contact", "plug", "contact_ohm"),
    )
    correlation = loaded.samples.correlation()
    assert correlation[0, 1] == pytest.approx(0.8, abs=0.08)
    assert np.allclose(np.diag(correlation), 1.0)
    # 1 % common, 1 % each: half of the variance is common.
    assert loaded.samples.share(0) == pytest.approx(0.5, abs=0.1)
    assert loaded.samples.share(1) == 1.0


def test_a_change_of_the_samples_changes_what_the_profile_is_known_by(tmp_path: Path) -> None:
    first = load_kit_file(written(tmp_path, table())).document.included
    second = load_kit_file(written(tmp_path, table(correlation=0.1))).document.included
    assert first != second


HEAD = "cable/reel/ohm_per_m\n"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        (HEAD + "0.084\n", "rows"),
        (HEAD + "0.084\n" * 60 + "x\n", "no number"),
        (HEAD + "0.084\n" * 60 + "-0.1\n", "above 0"),
        (HEAD + "0.084\n" * 60 + "nan\n", "above 0"),
        (HEAD + "0.084\n" * 60 + "1e999\n", "above 0"),
        (HEAD + "0.084,1\n" * 60, "cells"),
        ("cable/reel\n" + "0.084\n" * 60, "table/id/key"),
        ("cable/=1+1/ohm_per_m\n" + "0.084\n" * 60, "does not have"),
        ("__class__/reel/ohm_per_m\n" + "0.084\n" * 60, "does not have"),
        ("cable/reel/a,cable/reel/a\n" + "1,1\n" * 60, "two columns"),
    ],
)
def test_what_is_wrong_is_said_at_the_key(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        load_kit_file(written(tmp_path, text))
    (finding,) = caught.value.findings
    assert words in finding.message
    assert finding.path == ("samples",)
    assert finding.location is not None
    assert finding.location.line == 3


@pytest.mark.parametrize("name", ["../elsewhere.csv", "/etc/passwd", "", "missing.csv"])
def test_files_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    profile = PROFILE.replace('"club.samples.csv"', f'"{name}"')
    folder = tmp_path / "kits"
    folder.mkdir()
    (tmp_path / "elsewhere.csv").write_text(table(), encoding="utf-8")
    with pytest.raises(InputError):
        load_kit_file(written(folder, table(), profile))


def test_normal_scores_depend_on_ranks_only() -> None:
    x = np.random.default_rng(2).random((500, 2))
    assert np.allclose(normal_scores(x), normal_scores(np.exp(5.0 * x)))
    scores = normal_scores(x)
    assert np.abs(scores.mean(axis=0)).max() < 1e-9
    assert scores.std(axis=0) == pytest.approx(np.ones(2), abs=0.01)
