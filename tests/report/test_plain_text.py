from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.report.plain_text import clip, clip_middle, columns, pad, visible, wrap


@given(st.text())
def test_visible_text_has_nothing_a_terminal_acts_on(text: str) -> None:
    shown = visible(text)
    assert all(unicodedata.category(c) not in ("Cc", "Cf", "Zl", "Zp", "Cs") for c in shown)


@pytest.mark.parametrize(
    "text",
    ["\x1b[31mred", "\x9b31m", "a\rb", "a\nb", "\u202egnp.exe", "\u2066x", "\x07", "\u2028"],
)
def test_control_and_direction_characters_are_escaped(text: str) -> None:
    assert visible(text) != text
    assert visible(text).isprintable()


def test_ordinary_letters_stay() -> None:
    assert visible("Müller's café, 灯 Ω °C") == "Müller's café, 灯 Ω °C"


@given(st.text(st.characters(categories=["L", "N", "P"])), st.integers(1, 30))
def test_clipped_text_fits(text: str, width: int) -> None:
    assert columns(clip(text, width)) <= width
    assert columns(pad(clip(text, width), width)) == width


@given(st.text("abcdefgh-123", max_size=40), st.integers(4, 30))
def test_clipping_the_middle_keeps_both_ends(text: str, width: int) -> None:
    shown = clip_middle(text, width)
    assert len(shown) <= width
    if len(text) > width:
        assert shown[0] == text[0]
        assert shown[-1] == text[-1]


@given(st.text("ab c", max_size=200))
def test_wrapping_keeps_every_word(text: str) -> None:
    assert " ".join(wrap(text, 20)).split() == text.split()
