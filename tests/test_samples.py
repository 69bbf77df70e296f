"""Samples come from the machine's own mirror, are the copies expected, or are refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.samples import fetching
from tests.samples.fetching import ARCHIVES, NotFetched, fetch
from tests.samples.mirror import mirrors
from tests.samples.splicing import spliced

# Source: sources.list(5), both of its formats.
ONE_LINE = "# deb http://old.example/debian bookworm main\ndeb [arch=amd64] {} bookworm main\n"
STANZA = "Types: deb\nURIs: {}\nSuites: bookworm bookworm-updates\nComponents: main\n"


@pytest.mark.parametrize(
    ("name", "text"),
    [("sources.list", ONE_LINE), ("sources.list.d/debian.sources", STANZA)],
)
def test_a_mirror_is_found_in_either_format(tmp_path: Path, name: str, text: str) -> None:
    (tmp_path / "sources.list.d").mkdir()
    (tmp_path / name).write_text(text.format("http://mirror.example/debian/"))
    (tmp_path / "sources.list.d" / "other.list").write_text("deb http://b.example/apt x main\n")
    assert mirrors(tmp_path, tmp_path / "no keys") == ["http://mirror.example/debian"]


def test_a_machine_without_a_mirror_or_a_client_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fetching, "mirrors", list)
    with pytest.raises(NotFetched, match="no Debian mirror"):
        fetch(tmp_path / "samples")
    monkeypatch.setattr(fetching, "mirrors", lambda: ["http://mirror.example/debian"])
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NotFetched, match="no apt-get here"):
        fetch(tmp_path / "samples")


def test_another_copy_than_expected_is_refused(tmp_path: Path) -> None:
    archive = tmp_path / ARCHIVES[0].name
    archive.write_bytes(b"another")
    with pytest.raises(NotFetched, match="by its SHA-256"):
        fetching.unpack(ARCHIVES[0], archive, tmp_path)
    with pytest.raises(NotFetched, match="another version"):
        fetching.unpack(ARCHIVES[0], tmp_path / "gone", tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [archive.name]


def test_what_is_there_is_not_fetched_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for one in ARCHIVES:
        (tmp_path / one.samples).mkdir(parents=True)
    monkeypatch.setenv("PATH", "")
    fetch(tmp_path)


def test_a_picture_without_exif_lends_none() -> None:
    with pytest.raises(ValueError, match="no Exif"):
        spliced(b"\xff\xd8\xff\xd9", b"\xff\xd8\xff\xd9")
