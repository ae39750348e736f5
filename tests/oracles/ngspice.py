"""The ngspice shared library through ctypes; one simulator per process."""

from __future__ import annotations

import ctypes
import ctypes.util
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray


class _Vector(ctypes.Structure):
    """``struct vector_info`` of sharedspice.h."""

    _fields_ = [
        ("name", ctypes.c_char_p),
        ("kind", ctypes.c_int),
        ("flags", ctypes.c_short),
        ("real", ctypes.POINTER(ctypes.c_double)),
        ("complex", ctypes.c_void_p),
        ("length", ctypes.c_int),
    ]


_TEXT = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_void_p)
_EXIT = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.c_int, ctypes.c_bool, ctypes.c_bool, ctypes.c_int, ctypes.c_void_p
)
_DATA = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_int, ctypes.c_void_p)
_INIT_DATA = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)
_THREAD = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_bool, ctypes.c_int, ctypes.c_void_p)


class Ngspice:
    """A running simulator. Use `shared` : the library keeps its state in the process."""

    _instance: Ngspice | None = None

    def __init__(self) -> None:
        name = ctypes.util.find_library("ngspice")
        if name is None:
            raise OSError("libngspice is not installed")
        self._library: Any = ctypes.CDLL(name)
        self._library.ngGet_Vec_Info.restype = ctypes.POINTER(_Vector)
        self.messages: list[str] = []
        # Kept here so that the callbacks outlive the call.
        self._callbacks = (
            _TEXT(self._hear),
            _TEXT(lambda _text, _id, _user: 0),
            _EXIT(self._quit),
            _DATA(lambda _values, _count, _id, _user: 0),
            _INIT_DATA(lambda _info, _id, _user: 0),
            _THREAD(lambda _running, _id, _user: 0),
        )
        self._library.ngSpice_Init(*self._callbacks, None)
        self.messages.clear()

    @classmethod
    def shared(cls) -> Ngspice:
        """The one simulator of this process."""
        if cls._instance is None:
            cls._instance = cls()
        return cls._instance

    def _hear(self, text: bytes, _id: int, _user: int | None) -> int:
        self.messages.append(text.decode(errors="replace"))
        return 0

    def _quit(self, status: int, *_rest: object) -> int:
        self.messages.append(f"the simulator wants to leave with status {status}")
        return 0

    def _command(self, command: str) -> None:
        if self._library.ngSpice_Command(command.encode()) != 0:
            raise RuntimeError(f"{command}: " + "\n".join(self.messages[-20:]))

    def run(self, netlist: Sequence[str], vectors: Sequence[str]) -> list[NDArray[np.float64]]:
        """Load a netlist, run its analysis and return copies of some vectors."""
        self.messages.clear()
        lines = [line.encode() for line in netlist]
        array = (ctypes.c_char_p * (len(lines) + 1))(*lines, None)
        if self._library.ngSpice_Circ(array) != 0:
            raise RuntimeError("netlist refused:\n" + "\n".join(self.messages))
        try:
            self._command("run")
            return [self._vector(name) for name in vectors]
        finally:
            self._command("destroy all")
            self._command("remcirc")

    def _vector(self, name: str) -> NDArray[np.float64]:
        found = self._library.ngGet_Vec_Info(name.encode())
        if not found or not found.contents.length:
            raise RuntimeError(f"no vector {name}:\n" + "\n".join(self.messages[-20:]))
        info = found.contents
        return np.ctypeslib.as_array(info.real, (info.length,)).copy()
