"""Standing between SQLite and its files: every write, truncation and sync of this process passes through here.

SQLite calls the operating system through a table of functions (sqlite.org/vfs.html). ``watch`` registers a table as
the default one that opens files as before and hands writes, truncations and syncs to a Watcher first.
"""

from __future__ import annotations

import ctypes
from ctypes import CFUNCTYPE, POINTER, c_char_p, c_int, c_int64, c_void_p
from typing import Any, Final, Protocol

OK: Final = 0
_LIBRARY: Final = "libsqlite3.so.0"
_kept: list[Any] = []
"""What SQLite holds pointers to; it must not be collected."""

_Open = CFUNCTYPE(c_int, c_void_p, c_void_p, c_void_p, c_int, POINTER(c_int))
_Write = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
_Truncate = CFUNCTYPE(c_int, c_void_p, c_int64)
_Sync = CFUNCTYPE(c_int, c_void_p, c_int)


class _Vfs(ctypes.Structure):
    """``sqlite3_vfs``, version 3."""

    _fields_ = (
        ("iVersion", c_int),
        ("szOsFile", c_int),
        ("mxPathname", c_int),
        ("pNext", c_void_p),
        ("zName", c_char_p),
        ("pAppData", c_void_p),
        ("xOpen", c_void_p),
        ("rest", c_void_p * 15),
    )


class _Methods(ctypes.Structure):
    """``sqlite3_io_methods``, version 3."""

    _fields_ = (
        ("iVersion", c_int),
        ("xClose", c_void_p),
        ("xRead", c_void_p),
        ("xWrite", c_void_p),
        ("xTruncate", c_void_p),
        ("xSync", c_void_p),
        ("rest", c_void_p * 13),
    )


class NotWatched(Exception):
    """Python's SQLite is another one than the library that can be watched."""


class Watcher(Protocol):
    """Gets every operation before it is done, with the file's path; a code other than OK is returned instead of it."""

    def write(self, path: str, offset: int, content: bytes) -> int: ...
    def truncate(self, path: str, size: int) -> int: ...
    def sync(self, path: str) -> int: ...


def watch(watcher: Watcher) -> None:
    """Let every file that SQLite opens from now on in this process pass ``watcher``. Raises NotWatched."""
    try:
        library = ctypes.CDLL(_LIBRARY)
    except OSError as e:
        raise NotWatched(f"there is no {_LIBRARY}") from e
    library.sqlite3_vfs_find.restype = POINTER(_Vfs)
    plain = library.sqlite3_vfs_find(None)
    open_plain = _Open(plain.contents.xOpen)
    paths: dict[int, str] = {}
    wrapped: dict[int, _Methods] = {}

    def opened(_: Any, name: int | None, file: int, flags: int, out: Any) -> int:
        # The name goes on as the pointer it is: SQLite reads it until the file is closed.
        code = int(open_plain(ctypes.addressof(plain.contents), name, file, flags, out))
        methods = c_void_p.from_address(file)  # the first member of every file is its table of methods
        if code == OK and methods.value and name:
            paths[file] = ctypes.string_at(name).decode()
            if methods.value not in wrapped:
                wrapped[methods.value] = _wrap(methods.value, paths, watcher)
            methods.value = ctypes.addressof(wrapped[methods.value])
        return code

    ours = _Vfs.from_buffer_copy(plain.contents)
    callback = _Open(opened)
    ours.zName, ours.pNext = b"watched", None
    ours.xOpen = ctypes.cast(callback, c_void_p)
    _kept.extend([library, ours, callback, open_plain, wrapped])
    if library.sqlite3_vfs_register(ctypes.byref(ours), 1) != OK:
        raise NotWatched("SQLite refuses the watcher")


def _wrap(address: int, paths: dict[int, str], watcher: Watcher) -> _Methods:
    methods = _Methods.from_buffer_copy(_Methods.from_address(address))
    write, truncate, sync = _Write(methods.xWrite), _Truncate(methods.xTruncate), _Sync(methods.xSync)

    def written(file: int, content: int, size: int, offset: int) -> int:
        code = watcher.write(paths[file], offset, ctypes.string_at(content, size))
        return code or int(write(file, content, size, offset))

    def truncated(file: int, size: int) -> int:
        return watcher.truncate(paths[file], size) or int(truncate(file, size))

    def synced(file: int, flags: int) -> int:
        return watcher.sync(paths[file]) or int(sync(file, flags))

    callbacks = _Write(written), _Truncate(truncated), _Sync(synced)
    methods.xWrite, methods.xTruncate, methods.xSync = (ctypes.cast(c, c_void_p) for c in callbacks)
    _kept.extend([write, truncate, sync, *callbacks])
    return methods
