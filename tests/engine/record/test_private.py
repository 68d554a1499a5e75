"""Files written for one person only."""

import os
import stat
from pathlib import Path

import pytest

from askew.engine.record.private import NotWritten, private_file, private_folder, write_private
from askew.engine.safe import is_safe


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_file_is_private_whole_and_replaced_in_one_step(tmp_path: Path) -> None:
    path = tmp_path / "a"
    old_umask = os.umask(0)
    try:
        write_private(path, "one ½")
        before = path.stat().st_ino
        write_private(path, b"two")
    finally:
        os.umask(old_umask)
    assert path.read_text() == "two"
    assert mode(path) == 0o600
    assert path.stat().st_ino != before
    assert [entry.name for entry in tmp_path.iterdir()] == ["a"]
    with pytest.raises(NotWritten, match="exists already"):
        write_private(path, "three", replace=False)
    assert path.read_text() == "two"


def test_links_and_odd_things_are_refused(tmp_path: Path) -> None:
    target = tmp_path / "target"
    target.write_text("precious")
    (tmp_path / "link").symlink_to(target)
    (tmp_path / "dangling").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name in ("link", "dangling", "pipe", "folder"):
        for attempt in (
            lambda p: write_private(p, "x"),
            lambda p: write_private(p, "x", replace=False),
            private_file,
        ):
            with pytest.raises(NotWritten) as caught:
                attempt(tmp_path / name)
            assert str(caught.value).endswith(".")
    assert target.read_text() == "precious"
    assert not (tmp_path / "nowhere").exists()
    with pytest.raises(NotWritten) as caught:
        write_private(tmp_path / "no\x1b[2J" / "a", "x")
    assert is_safe(str(caught.value))


def test_an_existing_file_is_made_private_and_kept(tmp_path: Path) -> None:
    path = tmp_path / "history"
    assert private_file(path) == path
    assert mode(path) == 0o600
    path.write_text("said before")
    path.chmod(0o666)
    private_file(path)
    assert mode(path) == 0o600
    assert path.read_text() == "said before"


def test_a_file_of_somebody_else_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "history"
    path.write_text("theirs")
    path.chmod(0o644)
    monkeypatch.setattr(os, "getuid", lambda: 12345)
    with pytest.raises(NotWritten, match="belongs to somebody else"):
        private_file(path)
    with pytest.raises(NotWritten, match="belongs to somebody else"):
        private_folder(tmp_path)
    assert mode(path) == 0o644


def test_folders_are_made_private_and_existing_ones_kept(tmp_path: Path) -> None:
    deep = tmp_path / "a" / "b"
    old_umask = os.umask(0)
    try:
        assert private_folder(deep) == deep
    finally:
        os.umask(old_umask)
    assert mode(deep) == mode(deep.parent) == 0o700
    tmp_path.chmod(0o755)
    private_folder(tmp_path)
    assert mode(tmp_path) == 0o755
    (tmp_path / "file").write_text("")
    for path in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(NotWritten):
            private_folder(path)
