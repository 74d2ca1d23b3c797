"""A whole file: written completely or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import stat
import time
from pathlib import Path

O_BINARY = getattr(os, "O_BINARY", 0)
"""On Windows: without it line ends would be rewritten."""

PART = ".part"
LEFT_OVER_S = 60.0
"""Age from which a temporary file is taken to be left over."""
ERROR_SHARING_VIOLATION = 32
"""Windows' number for "another program has this file open"."""


class TargetError(Exception):
    """A file could not be written; the text is one line for the user, and nothing was changed."""


class TargetExistsError(TargetError):
    """There is a file of that name already, and overwriting it was not asked for."""


class TargetReadOnlyError(TargetError):
    """The file or its folder may not be written to."""


class TargetFullError(TargetError):
    """There is no room left on the disk."""


class TargetOpenError(TargetError):
    """Another program has the file open."""


def write_whole(path: str | os.PathLike[str], content: bytes, *, overwrite: bool = False) -> None:
    """Write `content` to `path`, or leave everything as it was.

    The bytes go to a temporary file in the same folder (".<name>.<letters>.part"), are forced to
    the disk, and take the target's name in one step. Where the process or the power was cut in
    between, the temporary file is left, and removed by a later call for the same target. A link
    is followed: the file that it points to is replaced.

    Raises TargetError, or one of its kinds above.
    """
    target = Path(os.path.realpath(path))
    _refuse(target, overwrite)
    _remove_leftovers(target)
    # Named before it is there, so that Ctrl-C at no moment leaves it behind.
    temporary = target.parent / f"{_start_of_parts(target)}{secrets.token_hex(4)}{PART}"
    try:
        handle = os.open(temporary, os.O_CREAT | os.O_EXCL | os.O_WRONLY | O_BINARY, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(target))
        _refuse(target, overwrite)  # someone may have written it meanwhile
        _take_name(temporary, target, overwrite)
    except OSError as error:
        raise _explained(error, target) from error
    finally:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
    _settle(target.parent)


def _start_of_parts(target: Path) -> str:
    return f".{target.name[:60]}."


def _remove_leftovers(target: Path) -> None:
    """Remove the temporary files that cut-off writes of the same target have left."""
    start = _start_of_parts(target)
    with contextlib.suppress(OSError):
        for entry in os.scandir(target.parent):
            if not (entry.name.startswith(start) and entry.name.endswith(PART)):
                continue
            with contextlib.suppress(OSError):
                # A younger one may be under way in another process.
                if time.time() - entry.stat().st_mtime > LEFT_OVER_S:
                    os.unlink(entry.path)


def _take_name(temporary: Path, target: Path, overwrite: bool) -> None:
    """Give a finished file its name in one step, and without `overwrite` no other's."""
    if not overwrite:
        try:
            os.link(temporary, target)  # fails where the name is taken, as a renaming may not
            return
        except FileExistsError:
            _refuse(target, overwrite)
            raise
        except (OSError, AttributeError, NotImplementedError):
            pass  # not every disk has such links
    os.replace(temporary, target)


def _refuse(target: Path, overwrite: bool) -> None:
    """Raise where `target` must not be, or cannot be, replaced."""
    if not target.parent.is_dir():
        raise TargetError(f"cannot write {target}: there is no folder {target.parent}")
    if not target.exists():
        return
    if not target.is_file():
        raise TargetError(f"cannot write {target}: it is a folder or a device, not a file")
    if not overwrite:
        raise TargetExistsError(
            f"{target} exists already: give another name, or ask for it to be overwritten"
        )
    if not os.access(target, os.W_OK):
        raise TargetReadOnlyError(f"cannot write {target}: the file is marked read-only")
    for lock in (f"~${target.name}", f".~lock.{target.name}#"):
        if (target.parent / lock).exists():
            raise TargetOpenError(
                f"cannot write {target}: it is open in a spreadsheet program (its lock is {lock}); "
                "close it there, or give another name"
            )


def _mode(target: Path) -> int:
    """Return the permissions that the file should have: its old ones, else a new file's."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _explained(error: OSError, target: Path) -> TargetError:
    """Return the system's error as a line that tells the user what to do."""
    if getattr(error, "winerror", None) == ERROR_SHARING_VIOLATION:
        return TargetOpenError(
            f"cannot write {target}: another program has it open; close it there, "
            "or give another name"
        )
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return TargetFullError(f"cannot write {target}: the disk is full")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return TargetReadOnlyError(
            f"cannot write {target}: you may not write to the folder {target.parent}"
        )
    if error.errno == errno.ENAMETOOLONG:
        return TargetError(f"cannot write {target}: the name is too long")
    return TargetError(f"cannot write {target}: {error.strerror or error}")


def _settle(folder: Path) -> None:
    """Force the folder's entry to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
