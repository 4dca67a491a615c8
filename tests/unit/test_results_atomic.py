import errno
import os
from pathlib import Path
from typing import IO

import pytest

from brazesoak.errors import ResultFileError
from brazesoak.results import atomic
from brazesoak.results.atomic import atomic_write


def test_writes_bytes_text_and_what_a_function_writes(tmp_path: Path) -> None:
    for content in (b"30 K", "30 K", lambda file: file.write(b"30 K")):
        atomic_write(tmp_path / "a", content)
        assert (tmp_path / "a").read_bytes() == b"30 K"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT, errno.EIO])
def test_a_full_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    target = tmp_path / "result.h5"
    target.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(atomic.os, "fsync", full)
    with pytest.raises(ResultFileError, match="is unchanged") as caught:
        atomic_write(target, b"new")
    assert caught.value.path == target
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_full_disk_is_named_and_says_what_to_do(tmp_path: Path) -> None:
    def full(file: IO[bytes]) -> None:
        file.write(b"half")
        raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.raises(ResultFileError, match=r"result\.h5: could not be written: the disk is full; .*Free some space"):
        atomic_write(tmp_path / "result.h5", full)
    assert list(tmp_path.iterdir()) == []


def test_an_interruption_leaves_nothing(tmp_path: Path) -> None:
    def interrupted(file: IO[bytes]) -> None:
        file.write(b"half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        atomic_write(tmp_path / "a", interrupted)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(ResultFileError, match="the folder does not exist"):
        atomic_write(tmp_path / "no" / "a", b"x")


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(ResultFileError, match=r"a part of the path is a file|could not be written"):
        atomic_write(tmp_path / "file" / "a", b"x")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ResultFileError, match="is a folder"):
        atomic_write(tmp_path, b"x")


def test_a_pipe_is_refused_and_stays(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(ResultFileError, match="device or pipe"):
        atomic_write(tmp_path / "pipe", b"x")
    assert (tmp_path / "pipe").is_fifo()


def test_a_name_too_long_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ResultFileError, match="too long"):
        atomic_write(tmp_path / ("x" * 300), b"x")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_protected_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "a").chmod(0o444)
    with pytest.raises(ResultFileError, match="write-protected"):
        atomic_write(tmp_path / "a", b"new")


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    atomic_write(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"


def test_permissions_are_those_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "usual").write_bytes(b"")
    atomic_write(tmp_path / "a", b"x")
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "usual").stat().st_mode
