"""One fuzzing process: ``python -m tests.fuzz.process TARGET FOLDER [libFuzzer's options]``.

Faults do not end it: each kind (type and place) is kept once in FOLDER/faults, with the input.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import sys
import traceback
from pathlib import Path


def main() -> None:
    """Fuzz until libFuzzer's time is up."""
    import atheris  # type: ignore[import-not-found, import-untyped, unused-ignore]

    name, folder, *options = sys.argv[1:]
    with atheris.instrument_imports(include=["bridgewire"]):
        from tests.fuzz.targets import BY_NAME, feed, place_for

        for package in ("documents", "kits", "model"):  # much is imported only when it is needed
            found = importlib.import_module(f"bridgewire.{package}")
            for module in pkgutil.iter_modules(found.__path__, f"bridgewire.{package}."):
                importlib.import_module(module.name)
    target = BY_NAME[name]
    faults = Path(folder, "faults")
    faults.mkdir(parents=True, exist_ok=True)
    known = {p.stem for p in faults.glob("*.json")}
    with place_for(target) as file:

        def one(data: bytes) -> None:
            try:
                feed(target, file, data)
            except Exception as error:
                kind = kind_of(error)
                if kind in known:
                    return
                known.add(kind)
                (faults / f"{kind}.input").write_bytes(data)
                note = {"error": repr(error)[:300], "where": traceback.format_exc()[-3000:]}
                (faults / f"{kind}.json").write_text(json.dumps(note, indent=1), encoding="utf-8")

        atheris.Setup([sys.argv[0], *options], one, enable_python_coverage=True)
        atheris.Fuzz()


def kind_of(error: BaseException) -> str:
    """Name a fault by its type and the innermost line of bridgewire."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [f for f in frames if f"{os.sep}bridgewire{os.sep}" in f.filename] or frames
    return f"{type(error).__name__}-{Path(ours[-1].filename).stem}-{ours[-1].lineno}"


if __name__ == "__main__":
    main()
