"""How the functions of this package are compiled, and when kept machine code is still good."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., Any])


def inner(function: F) -> F:
    """Compile as a part of `bridgewire.physics._kernel.run.run_range`."""
    return cast(F, numba.njit(nogil=True, error_model="numpy")(function))


def outer(function: F) -> F:
    """Compile when first called; keep the code on disk where a place for it can be written.

    numba refuses kept code when the file of `function` changes, and looks at no other file. So
    `function` takes `sources_stamp` as a default value, and constants from outside this package as
    arguments. Classes in the signature would have to stay for ever, for numba fails on kept code
    of an earlier version that names a class it cannot find.
    """
    try:
        return cast(F, numba.njit(cache=True, nogil=True, error_model="numpy")(function))
    except RuntimeError:
        return inner(function)


def sources_stamp(folder: Path) -> int:
    """A number that changes when any source file of a folder does.

    numba files kept code by the types of all arguments, and the type of a default holds its value.
    So code that takes this number as a default is compiled anew after a change of any file.
    """
    stamp = 0
    for file in sorted(folder.glob("*.py")):
        stamp = zlib.crc32(file.read_bytes(), stamp)
    return stamp
