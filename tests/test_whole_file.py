"""A file is written whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest
from moorledger.io.whole_file import (
    TargetError,
    TargetExistsError,
    TargetFullError,
    TargetOpenError,
    TargetReadOnlyError,
    write_whole,
)


def test_a_new_file_holds_the_bytes_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    """The target has the bytes; the temporary file is gone."""
    target = tmp_path / "plan.xlsx"
    write_whole(target, b"whole")
    assert target.read_bytes() == b"whole"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_an_existing_file_is_kept_unless_overwriting_is_asked_for(tmp_path: Path) -> None:
    """Without the word the old file stays; with it the new one replaces it."""
    target = tmp_path / "plan.xlsx"
    target.write_bytes(b"old")
    with pytest.raises(TargetExistsError, match="exists already"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    write_whole(target, b"new", overwrite=True)
    assert target.read_bytes() == b"new"


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (errno.ENOSPC, TargetFullError),
        (errno.EROFS, TargetReadOnlyError),
        (errno.EACCES, TargetReadOnlyError),
        (errno.EIO, TargetError),
    ],
)
def test_a_failure_while_writing_keeps_the_old_file_and_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, kind: type[TargetError]
) -> None:
    """A full or read-only disk, or a broken one, costs neither the old file nor a stray one."""
    target = tmp_path / "plan.xlsx"
    target.write_bytes(b"old")

    def fail(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(kind) as caught:
        write_whole(target, b"new", overwrite=True)
    assert "\n" not in str(caught.value)
    assert str(target) in str(caught.value)
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_a_crash_at_the_last_step_keeps_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even an interruption between writing and renaming leaves the old file alone."""
    target = tmp_path / "plan.xlsx"
    target.write_bytes(b"old")

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_whole(target, b"new", overwrite=True)
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


@pytest.mark.parametrize("lock", ["~$plan.xlsx", ".~lock.plan.xlsx#"])
def test_a_file_open_in_a_spreadsheet_program_is_not_replaced(tmp_path: Path, lock: str) -> None:
    """The lock files that spreadsheet programs leave are heeded (their names from memory)."""
    target = tmp_path / "plan.xlsx"
    target.write_bytes(b"old")
    (tmp_path / lock).touch()
    with pytest.raises(TargetOpenError, match="close it"):
        write_whole(target, b"new", overwrite=True)
    assert target.read_bytes() == b"old"


def test_a_missing_folder_and_a_folder_as_target_are_refused(tmp_path: Path) -> None:
    """Neither is created or replaced."""
    with pytest.raises(TargetError, match="there is no folder"):
        write_whole(tmp_path / "nowhere" / "plan.xlsx", b"new")
    with pytest.raises(TargetError, match="not a file"):
        write_whole(tmp_path, b"new", overwrite=True)
    assert os.listdir(tmp_path) == []


def test_a_link_is_followed(tmp_path: Path) -> None:
    """The file behind a link is replaced, not the link."""
    if not hasattr(os, "symlink"):
        pytest.skip("this system has no links")
    (tmp_path / "real.xlsx").write_bytes(b"old")
    link = tmp_path / "link.xlsx"
    link.symlink_to("real.xlsx")
    write_whole(link, b"new", overwrite=True)
    assert link.is_symlink()
    assert (tmp_path / "real.xlsx").read_bytes() == b"new"


def test_permissions_are_those_of_any_new_file_or_of_the_old_one(tmp_path: Path) -> None:
    """A temporary file's private permissions do not stick to the result."""
    if os.name != "posix":
        pytest.skip("permissions of this kind are POSIX's")
    plain = tmp_path / "plain"
    plain.touch()
    target = tmp_path / "plan.xlsx"
    write_whole(target, b"whole")
    assert stat.S_IMODE(target.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    target.chmod(0o640)
    write_whole(target, b"again", overwrite=True)
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
