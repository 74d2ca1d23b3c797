"""A file is written whole or not at all."""

from __future__ import annotations

import ast
import errno
import os
import random
import signal
import stat
import subprocess
import sys
import time
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

from tests.quick_run import LONG, mostly_long


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


def test_a_file_that_appears_meanwhile_is_not_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program's file, written while ours was being forced to the disk, stays."""
    target = tmp_path / "plan.xlsx"
    real = os.chmod

    def chmod(*arguments: object, **options: object) -> None:
        target.write_bytes(b"theirs")
        real(*arguments, **options)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "chmod", chmod)
    with pytest.raises(TargetExistsError):
        write_whole(target, b"ours")
    assert target.read_bytes() == b"theirs"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_a_disk_without_links_is_written_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a second name for a file cannot be made it is renamed."""

    def link(*_: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", link)
    write_whole(tmp_path / "plan.xlsx", b"whole")
    assert (tmp_path / "plan.xlsx").read_bytes() == b"whole"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_a_file_larger_than_there_is_room_for_leaves_the_old_one(tmp_path: Path) -> None:
    """The system itself refuses the bytes: in a process that may write no file over 64 KiB."""
    target = tmp_path / "plan.xlsx"
    target.write_bytes(b"old")
    program = (
        "import resource, signal, sys\n"
        "from moorledger.io.whole_file import TargetError, write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (65536, 65536))\n"
        "try:\n"
        "    write_whole(sys.argv[1], b'x' * 200_000, overwrite=True)\n"
        "except TargetError as error:\n"
        "    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(target)], capture_output=True, text=True, timeout=60
    )
    assert done.stdout.startswith(f"cannot write {target}: "), done.stderr
    assert target.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["plan.xlsx"]


def test_a_full_disk_leaves_the_old_file(tmp_path: Path) -> None:
    """A disk of 256 KiB in memory, where this machine lets one be mounted."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(disk)]
    try:
        mounted = subprocess.run(mount, capture_output=True, timeout=20).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("no disk may be mounted here")
    try:
        write_whole(disk / "plan.xlsx", b"old")
        with pytest.raises(TargetFullError, match="the disk is full"):
            write_whole(disk / "plan.xlsx", b"x" * 400_000, overwrite=True)
        assert (disk / "plan.xlsx").read_bytes() == b"old"
        assert os.listdir(disk) == ["plan.xlsx"]
    finally:
        subprocess.run(["umount", str(disk)], check=True, timeout=20)


def test_what_a_cut_off_write_left_is_removed_by_a_later_one(tmp_path: Path) -> None:
    """An old temporary file of the same target goes; a young one, and another target's, stay."""
    old, young, other = (
        tmp_path / name for name in (".plan.xlsx.a1.part", ".plan.xlsx.b2.part", ".else.c3.part")
    )
    for part in (old, young, other):
        part.touch()
    past = time.time() - 3600
    os.utime(old, (past, past))
    os.utime(other, (past, past))
    write_whole(tmp_path / "plan.xlsx", b"whole")
    assert set(os.listdir(tmp_path)) == {young.name, other.name, "plan.xlsx"}


WRITER = (
    "import sys\n"
    "from moorledger.io.whole_file import write_whole\n"
    "whole = [bytes([letter]) * 3_000_000 for letter in b'AB']\n"
    "print(flush=True)\n"
    "for turn in range(10**6):\n"
    "    write_whole(sys.argv[1], whole[turn % 2], overwrite=True)\n"
)


@LONG
@mostly_long("moments", [50, 5], quick=[5])
def test_a_kill_at_any_moment_leaves_a_whole_file(moments: int, tmp_path: Path) -> None:
    """Killed at random moments of writing over and over: the old file or the new one, whole.

    Only a temporary file of the stated name may be left beside it.
    """
    draw = random.Random(8)
    target = tmp_path / "plan.xlsx"
    for _ in range(moments):
        target.write_bytes(b"B" * 3_000_000)
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(target)], stdout=-1)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(draw.uniform(0, 0.05))
        writer.send_signal(signal.SIGKILL)
        writer.communicate(timeout=20)
        content = target.read_bytes()
        assert content in (b"A" * 3_000_000, b"B" * 3_000_000)
        for left in set(os.listdir(tmp_path)) - {"plan.xlsx"}:
            assert left.startswith(".plan.xlsx.")
            assert left.endswith(".part")
            (tmp_path / left).unlink()


def test_nothing_in_io_writes_a_file_by_itself() -> None:
    """Every file that is written goes through `write_whole`: no other module opens one."""
    io = Path(__file__).resolve().parents[2] / "io"
    for path in sorted(io.rglob("*.py")):
        if path.name == "whole_file.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
            name = node.func.id if isinstance(node.func, ast.Name) else name
            assert name not in ("write_bytes", "write_text", "fdopen"), f"{path.name} {name}"
            if name == "open":
                assert len(node.args) < 2, path.name
            if name == "save" and isinstance(node.func, ast.Attribute):
                assert ast.unparse(node.args[0]) in ("stream", "file"), path.name
