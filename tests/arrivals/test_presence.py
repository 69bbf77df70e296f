"""Whether the folder is there, and is the same one."""

from pathlib import Path

import pytest

from tether.arrivals.presence import Presence


def test_a_folder_keeps_its_identity_and_another_has_another(folder: Path) -> None:
    presence = Presence(str(folder))
    first = presence.identity()
    assert first is not None
    assert presence.identity() == first
    folder.rename(folder.with_name("away"))
    assert presence.identity() is None
    folder.mkdir()
    assert presence.identity() not in (None, first)


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    assert Presence(str(tmp_path / "file")).identity() is None


def test_a_mount_point_that_nothing_is_mounted_on_any_more_counts_as_gone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mounted = True
    monkeypatch.setattr("os.path.ismount", lambda _: mounted)
    presence = Presence(str(folder))
    assert presence.identity() is not None
    mounted = False
    assert presence.identity() is None
    assert presence.identity() is None
    mounted = True
    assert presence.identity() is not None
