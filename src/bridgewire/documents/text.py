"""Reading a file into text, with the refusals that come before any parsing."""

from __future__ import annotations

import hashlib
import stat
from pathlib import Path, PurePosixPath, PureWindowsPath

from attrs import frozen

from bridgewire.documents.limits import MAX_BYTES, MAX_SEPARATORS, too_many_message
from bridgewire.documents.problems import TOO_LARGE, UNREADABLE, Problem

_UTF16_OR_32 = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")


@frozen
class SourceText:
    """The text of a file, without a byte order mark."""

    file: str
    text: str
    sha256: str


class RefusedError(Exception):
    """A file that cannot be used at all, with what could be read of it."""

    def __init__(self, problem: Problem, text: str = "") -> None:
        self.problem = problem
        self.text = text
        super().__init__(problem.message)


def read_bytes(path: Path, code: str = UNREADABLE) -> bytes:
    """Read a regular file of at most `MAX_BYTES`.

    Raises
    ------
    RefusedError
        If there is no such file, it is not a regular file, is too large, or cannot be read.
    """
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise RefusedError(Problem(code, "this is a folder, not a file"))
        if not stat.S_ISREG(status.st_mode):
            raise RefusedError(Problem(code, "this is not a regular file"))
        if status.st_size > MAX_BYTES:
            raise _too_large(status.st_size, code)
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise RefusedError(Problem(code, "there is no such file")) from None
    except PermissionError:
        raise RefusedError(Problem(code, "the file may not be read (permission denied)")) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RefusedError(Problem(code, f"the file cannot be read: {reason}")) from None
    if len(raw) > MAX_BYTES:
        raise _too_large(len(raw), code)
    return raw


def file_inside(name: str, folder: Path) -> Path | None:
    """Find a file that a document names beside itself.

    Parameters
    ----------
    name : str
        As the document has it, with ``/`` or ``\\``.
    folder : Path
        The document's folder.

    Returns
    -------
    Path or None
        The file, whether it is there or not; None where the name is empty or leads out of the
        folder, links followed.

    Examples
    --------
    >>> file_inside("../cues.csv", Path("shows")) is None
    True
    """
    if not name.strip() or "\0" in name:
        return None
    if PurePosixPath(name).is_absolute() or PureWindowsPath(name).anchor:
        return None
    path = folder / name.replace("\\", "/")
    try:
        return path if path.resolve().is_relative_to(folder.resolve()) else None
    except (OSError, RuntimeError, ValueError):
        return None


def read_text(path: Path) -> SourceText:
    """Read a UTF-8 document.

    Raises
    ------
    RefusedError
        If the file cannot be read, is too large, is not UTF-8, or is empty.
    """
    raw = read_bytes(path)
    if raw.startswith(_UTF16_OR_32):
        raise RefusedError(
            Problem(
                UNREADABLE,
                "the file is UTF-16 or UTF-32 text; documents are UTF-8",
                expected="UTF-8",
                got="a UTF-16 or UTF-32 byte order mark",
                remedy="Save the file again as UTF-8.",
            )
        )
    digest = hashlib.sha256(raw).hexdigest()
    raw = raw.removeprefix(b"\xef\xbb\xbf")
    text = _decoded(raw)
    zero = text.find("\0")
    if zero >= 0:
        raise RefusedError(
            Problem(
                UNREADABLE,
                "the file holds a zero byte: it is not a text file, or it is UTF-16",
                expected="UTF-8 text",
                got="a zero byte",
                remedy="Save the file again as UTF-8 text.",
                span=(zero, zero + 1),
            ),
            text,
        )
    if not text.strip():
        raise RefusedError(Problem(UNREADABLE, "the file is empty"), text)
    if text.count(",") + text.count("\n") > MAX_SEPARATORS:
        raise RefusedError(Problem(TOO_LARGE, too_many_message()), text)
    return SourceText(str(path), text, digest)


def _decoded(raw: bytes) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        start = len(raw[: error.start].decode("utf-8"))
        raise RefusedError(
            Problem(
                UNREADABLE,
                "the file is not UTF-8 text",
                expected="UTF-8",
                got=f"the byte 0x{raw[error.start]:02X}",
                remedy="Save the file again as UTF-8 (it may be Latin-1 or Windows text).",
                span=(start, start + 1),
            ),
            raw.decode("utf-8", "replace"),
        ) from None


def _too_large(size: int, code: str) -> RefusedError:
    return RefusedError(
        Problem(
            code,
            f"the file is too large: {size / 1e6:.1f} MB",
            expected=f"at most {MAX_BYTES / 1e6:.0f} MB",
            got=f"{size / 1e6:.1f} MB",
        )
    )
