"""Runs the ``bridgewire`` commands shown in the documentation and keeps their output true.

A block looks like this; its first line is the command, the rest is what it printed::

    ```console exit=1 from="Errors (" lines=6
    $ bridgewire check examples/boathouse-troubles.toml
    ```

``exit`` is the exit code (0 where absent). With ``from`` only so many ``lines`` are shown, from the
first line that holds the text; ``lines=0`` shows no output. Commands run in a scratch folder that
holds the examples, at 80 columns. Run ``python docs/console_blocks.py`` to write all output anew.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from attrs import frozen

ROOT = Path(__file__).resolve().parents[1]
PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md")))
_FENCE = re.compile(r"^```console([^\n]*)\n\$ (bridgewire[^\n]*)\n(.*?)^```$", re.M | re.S)
_FIELD = re.compile(r'(\w+)=(?:"([^"]*)"|(\S+))')


@frozen
class Block:
    """One block with its place in the page."""

    page: Path
    command: str
    fields: dict[str, str]
    output: str
    start: int
    """Where its output begins and ends in the page's text."""
    end: int

    @property
    def exit_code(self) -> int:
        """The exit code that the block states."""
        return int(self.fields.get("exit", "0"))

    def shown(self, printed: str) -> str:
        """The part of what was printed that the block shows."""
        lines = [line.rstrip() for line in printed.rstrip("\n").split("\n")]
        if "lines" not in self.fields:
            return "\n".join(lines) + "\n"
        wanted = int(self.fields["lines"])
        start = self.fields.get("from", "")
        first = next((i for i, line in enumerate(lines) if start in line), None)
        if first is None:
            return f"(no line holds {start!r})\n"
        cut = lines[first : first + wanted]
        while cut and not cut[-1]:
            cut.pop()
        return "".join(f"{line}\n" for line in cut)


def blocks_of(page: Path) -> list[Block]:
    """All blocks of a page, in order."""
    text = page.read_text(encoding="utf-8")
    return [
        Block(
            page,
            m[2],
            {k: quoted or plain for k, quoted, plain in _FIELD.findall(m[1])},
            m[3],
            m.start(3),
            m.end(3),
        )
        for m in _FENCE.finditer(text)
    ]


@contextlib.contextmanager
def scratch_folder() -> Iterator[Path]:
    """A folder with the examples in it, made the working folder for a while."""
    before, columns = Path.cwd(), os.environ.get("COLUMNS")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "examples").symlink_to(ROOT / "examples", target_is_directory=True)
        os.chdir(folder)
        os.environ["COLUMNS"] = "80"
        try:
            yield folder
        finally:
            os.chdir(before)
            os.environ.pop("COLUMNS")
            if columns is not None:
                os.environ["COLUMNS"] = columns


def run(command: str) -> tuple[int, str]:
    """Exit code and output (both streams) of a ``bridgewire`` command, run in this process."""
    from bridgewire.cli.main import entry

    said = io.StringIO()
    arguments, code = sys.argv, 0
    sys.argv = shlex.split(command)
    try:
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            entry()
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    finally:
        sys.argv = arguments
    return code, said.getvalue()


def main() -> int:
    """Write the output of all blocks anew."""
    wrong = 0
    for page in PAGES:
        if not page.is_file():
            continue
        text = page.read_text(encoding="utf-8")
        for block in reversed(blocks_of(page)):
            with scratch_folder():
                code, printed = run(block.command)
            if code != block.exit_code:
                wrong += 1
                print(f"{page.name}: {block.command}: exit code {code}, not {block.exit_code}")
                print(printed)
            text = text[: block.start] + block.shown(printed) + text[block.end :]
        page.write_text(text, encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
