"""Draws docs/img/check.svg: a check as it looks on a terminal of 80 columns.

Runs the real command in a pseudo-terminal, colours and all, and writes what it printed as SVG
text. The middle is left out, and the picture says how many lines that are.
Run: python docs/make_terminal_picture.py
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path
from xml.sax.saxutils import escape

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "docs" / "img" / "check.svg"
COMMAND = ("bridgewire", "check", "examples/jetty-trial.toml")
COLUMNS, ROWS = 80, 50
LEAVE_OUT = ("Warnings (", "Igniters ")
"""The lines from the first of these up to the second are left out."""

CELL, LINE, SIZE, BORDER = 7.8, 18, 13, 18
PAPER, FRAME, TEXT = "#fbfaf6", "#c9c4b5", "#26302f"
LOOKS = {
    "1": "font-weight:bold",
    "2": "fill:#6d7573",
    "31": "fill:#a8201a",
    "33": "fill:#8a5a00",
    "34": "fill:#1f5f8b",
    "35": "fill:#7b2d8b",
}
_SGR = re.compile(r"\x1b\[([0-9;]*)m")
_OTHER = re.compile(r"\x1b(?:\[[0-9;?]*[A-Za-z]|\][^\x07]*\x07|[@-Z\\-_])")


def printed() -> list[str]:
    """Lines that the command writes to a terminal, with its colours."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    keep = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS", "LINES")}
    running = subprocess.Popen(
        [Path(sys.executable).parent / COMMAND[0], *COMMAND[1:]],
        cwd=ROOT,
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env={**keep, "TERM": "xterm-256color"},
    )
    os.close(slave)
    pieces: list[bytes] = []
    while True:
        try:
            piece = os.read(master, 65536)
        except OSError:  # how Linux says that the other side is closed
            break
        if not piece:
            break
        pieces.append(piece)
    os.close(master)
    if running.wait() not in (0, 1):
        raise SystemExit(f"the command ended with {running.returncode}")
    text = b"".join(pieces).decode("utf-8").replace("\r\n", "\n")
    # Progress is written over and over on one line: what stands last is seen.
    return [line.rsplit("\r", 1)[-1] for line in text.rstrip("\n").split("\n")]


def shortened(lines: list[str]) -> list[str]:
    """The lines that the picture shows."""
    plain = [_SGR.sub("", line) for line in lines]
    first = next(i for i, line in enumerate(plain) if line.startswith(LEAVE_OUT[0]))
    last = next(i for i, line in enumerate(plain) if line.startswith(LEAVE_OUT[1]))
    note = f"\x1b[2m  [{last - first} lines of warnings and notes left out of this picture]\x1b[0m"
    return [*lines[:first], note, "", *lines[last:]]


def line_svg(line: str, y: float) -> str:
    """One line as SVG text, each run of one look in its place."""
    parts: list[str] = []
    look, column, start = "", 0, 0
    line = _OTHER.sub(lambda m: m[0] if _SGR.fullmatch(m[0]) else "", line)
    for match in [*_SGR.finditer(line), None]:
        text = line[start : match.start() if match else len(line)]
        if text.strip():
            style = f' style="{look}"' if look else ""
            # Browsers fold ordinary spaces of SVG text.
            shown = escape(text).replace(" ", "\u00a0")
            parts.append(
                f'<text x="{BORDER + column * CELL:.1f}" y="{y:g}" '
                f'textLength="{len(text) * CELL:.1f}"{style}>{shown}</text>'
            )
        column += len(text)
        if match:
            codes = [c for c in match[1].split(";") if c not in ("", "0")]
            look = ";".join(LOOKS[c] for c in codes)
            start = match.end()
    return "".join(parts)


def picture(lines: list[str]) -> str:
    """The whole picture."""
    shown = [f"\x1b[1m$ {' '.join(COMMAND)}\x1b[0m", *lines]
    width = 2 * BORDER + COLUMNS * CELL
    height = 2 * BORDER + len(shown) * LINE
    rows = [line_svg(line, BORDER + (i + 0.75) * LINE) for i, line in enumerate(shown)]
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
            f'width="{width:g}" height="{height:g}" role="img">',
            f"<title>{escape(' '.join(COMMAND))}</title>",
            f'<rect x="0.5" y="0.5" width="{width - 1:g}" height="{height - 1:g}" '
            f'fill="{PAPER}" stroke="{FRAME}"/>',
            f'<g font-family="DejaVu Sans Mono, Liberation Mono, monospace" font-size="{SIZE}" '
            f'fill="{TEXT}">',
            *(row for row in rows if row),
            "</g>",
            "</svg>",
            "",
        )
    )


def main() -> None:
    """Write the picture."""
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(picture(shortened(printed())), encoding="utf-8")


if __name__ == "__main__":
    main()
