"""Runs the notebooks of docs/notebooks and keeps their outputs. Run: python docs/run_notebooks.py

With --check it writes nothing and tells which outputs are stale. Needs the extra ``notebook``.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parent / "notebooks"
_METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
_EDITION = re.compile(r"revision [0-9a-f]{12}, bridgewire [0-9.]+")


def notebooks() -> list[Path]:
    """The notebooks, in order of name."""
    return sorted(FOLDER.glob("*.ipynb"))


def executed(file: Path, timeout_s: int = 300) -> dict[str, Any]:
    """A notebook as it is after a run in its own folder, without what changes from run to run.

    Parameters
    ----------
    file : Path
    timeout_s : int
        For one cell.

    Raises
    ------
    nbclient.exceptions.CellExecutionError
        If a cell fails.
    """
    import nbformat
    from nbclient import NotebookClient

    read = nbformat.read(file, as_version=4)
    read.metadata = nbformat.from_dict(_METADATA)
    client = NotebookClient(
        read,
        timeout=timeout_s,
        kernel_name="python3",
        resources={"metadata": {"path": str(file.parent)}},
    )
    client.execute()
    for number, cell in enumerate(read.cells, 1):
        cell.id = f"cell-{number}"
        cell.metadata = nbformat.from_dict({})
    nbformat.validate(read)
    return json.loads(nbformat.writes(read))


def outputs(notebook: dict[str, Any]) -> list[str]:
    """The texts that the cells show: no drawings, no tags of HTML, no revision or version."""
    found = []
    for cell in notebook["cells"]:
        for output in cell.get("outputs", ()):
            data = output.get("data", {})
            html = re.sub(r"<[^>]+>", " ", "".join(data.get("text/html", [])))
            text = "".join([*output.get("text", []), *data.get("text/plain", []), html])
            found.append(_EDITION.sub("", text))
    return found


def alike(one: str, other: str, tolerance: float = 0.02) -> bool:
    """Whether two outputs have the same words, and numbers that differ by 2 % at most.

    >>> alike("margin 1.50, sure", "margin 1.51, sure"), alike("1 sure", "2 sure")
    (True, False)
    """
    if _NUMBER.sub("#", one).split() != _NUMBER.sub("#", other).split():
        return False
    pairs = zip(_NUMBER.findall(one), _NUMBER.findall(other), strict=True)
    return all(
        abs(float(a) - float(b)) <= tolerance * max(abs(float(a)), abs(float(b))) for a, b in pairs
    )


def stale(file: Path) -> list[str]:
    """What differs between the outputs that are kept and those of a run."""
    kept = outputs(json.loads(file.read_text(encoding="utf-8")))
    now = outputs(executed(file))
    if len(kept) != len(now):
        return [f"{file.name}: {len(kept)} outputs are kept, a run gives {len(now)}"]
    return [
        f"{file.name}: output {n} was\n{a}\nand is\n{b}"
        for n, (a, b) in enumerate(zip(kept, now, strict=True), 1)
        if not alike(a, b)
    ]


def main(arguments: list[str]) -> int:
    """Run all notebooks."""
    if "--check" in arguments:
        wrong = [w for file in notebooks() for w in stale(file)]
        print("\n".join([*wrong, "run: python docs/run_notebooks.py"]) if wrong else "up to date")
        return 1 if wrong else 0
    for file in notebooks():
        text = json.dumps(executed(file), indent=1, ensure_ascii=False, sort_keys=True)
        file.write_text(text + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
