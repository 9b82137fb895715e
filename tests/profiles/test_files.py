import os
import stat

import pytest

from mapper.problems import RequestError
from profiles.files import read_bounded, write_whole


def test_a_file_is_written_whole_and_nothing_else_is_left(tmp_path):
    write_whole(tmp_path / "a.yaml", b"one")
    assert (tmp_path / "a.yaml").read_bytes() == b"one"
    write_whole(tmp_path / "a.yaml", b"two", force=True)
    assert (tmp_path / "a.yaml").read_bytes() == b"two"
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]


def test_a_file_that_exists_is_kept_without_force(tmp_path):
    write_whole(tmp_path / "a.yaml", b"one")
    with pytest.raises(RequestError, match=r"already exists\. Give force=True to replace it"):
        write_whole(tmp_path / "a.yaml", b"two")
    assert (tmp_path / "a.yaml").read_bytes() == b"one"


def test_a_file_that_appears_meanwhile_is_kept_too(tmp_path, monkeypatch):
    """Another program takes the name between the first look and the last step."""
    target = tmp_path / "a.yaml"
    flush = os.fsync

    def flush_and_take_the_name(descriptor):
        flush(descriptor)
        if not target.exists():
            target.write_bytes(b"theirs")

    monkeypatch.setattr(os, "fsync", flush_and_take_the_name)
    with pytest.raises(RequestError, match="already exists"):
        write_whole(target, b"ours")
    assert target.read_bytes() == b"theirs"
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]


def test_a_failed_write_leaves_what_was_there(tmp_path, monkeypatch):
    write_whole(tmp_path / "a.yaml", b"one")

    def fail(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(RequestError, match="could not be written; got No space left on device"):
        write_whole(tmp_path / "a.yaml", b"two", force=True)
    assert (tmp_path / "a.yaml").read_bytes() == b"one"
    assert [path.name for path in tmp_path.iterdir()] == ["a.yaml"]


def test_a_file_system_without_hard_links_will_do(tmp_path, monkeypatch):
    def no_links(_source, _target):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", no_links)
    write_whole(tmp_path / "a.yaml", b"one")
    assert (tmp_path / "a.yaml").read_bytes() == b"one"
    with pytest.raises(RequestError, match="already exists"):
        write_whole(tmp_path / "a.yaml", b"two")


def test_new_files_follow_the_umask(tmp_path):
    before = os.umask(0o027)
    try:
        write_whole(tmp_path / "a.yaml", b"")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a.yaml").stat().st_mode) == 0o640


def test_reading_is_bounded(tmp_path):
    file = tmp_path / "a.yaml"
    file.write_bytes(b"x" * 1024)
    assert read_bounded(file, 1024, "profile") == b"x" * 1024
    with pytest.raises(RequestError, match="must be a profile, which is at most 0 KiB"):
        read_bounded(file, 1023, "profile")


@pytest.mark.parametrize("name", ["missing.yaml", "", "a\0b", "."])
def test_what_cannot_be_read_is_named(tmp_path, name, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(RequestError):
        read_bounded(name, 10, "profile")
