"""The packages that samples come from, which copies of them, and how they are fetched.

Licences stand in the packages: exiv2 GPL-2+, ExifTool GPL-1+ or Artistic,
kimageformats LGPL-2+. The source lists are
those of the machine's own Debian mirror in a configuration of its own, so nothing on the machine
changes and no right to install is needed.
"""

from __future__ import annotations

import hashlib
import subprocess
import tarfile
import tempfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from tests.samples.mirror import mirrors

# The release whose copies are named below; mirrors keep it whatever release the machine runs.
RELEASE = "bookworm"


class NotFetched(Exception):
    """The samples could not be had; the message says why."""


@dataclass(frozen=True, slots=True)
class Archive:
    """A source package's upstream archive, its SHA-256, and the folder in it that holds samples."""

    package: str
    name: str
    digest: str
    samples: str


ARCHIVES = (
    Archive(
        "exiv2",
        "exiv2_0.27.6.orig.tar.gz",
        "f16ee5ff08b6994c66106109417857f13e711fca100ac43c6a403d4f02b59602",
        "exiv2-0.27.6/test/data",
    ),
    Archive(
        "libimage-exiftool-perl",
        "libimage-exiftool-perl_12.57+dfsg.orig.tar.xz",
        "9de7ccd6ed6adf92038c8d943b1960d087b58c00b3924d19f61a1d774b7610fc",
        "Image-ExifTool-12.57/t/images",
    ),
    Archive(
        "kimageformats",
        "kimageformats_5.103.0.orig.tar.xz",
        "dd7dc417aacc9dfe74745e4dfd9750129051c36502fa1cd18b92c4035d721e7e",
        "kimageformats-5.103.0/autotests/read",
    ),
)


def fetch(folder: Path) -> None:
    """Put the samples into a folder, made if need be; what is there already is left as it is.

    Raises
    ------
    NotFetched
        There is no package client, no Debian mirror, no network, or another copy than expected.
    """
    missing = [one for one in ARCHIVES if not (folder / one.samples).is_dir()]
    if not missing:
        return
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="tether-samples-") as made:
        _download(Path(made), [one.package for one in missing])
        for one in missing:
            unpack(one, Path(made) / one.name, folder)


def _download(place: Path, packages: list[str]) -> None:
    told = [f"deb-src {one} {RELEASE} main\n" for one in mirrors()]
    if not told:
        raise NotFetched("no Debian mirror in this machine's package sources")
    (place / "sources.list").write_text("".join(told))
    for sub in ("parts", "lists/partial", "cache/archives/partial"):
        (place / sub).mkdir(parents=True)
    own = {
        "Dir::Etc::SourceList": place / "sources.list",
        "Dir::Etc::SourceParts": place / "parts",
        "Dir::State::Lists": place / "lists",
        "Dir::Cache": place / "cache",
        # The folder is ours alone: no other user could write there.
        "APT::Sandbox::User": "",
        "Acquire::Languages": "none",
    }
    client = ["apt-get", "-qq", *(f"-o{key}={value}" for key, value in own.items())]
    _run([*client, "update"], place)
    _run([*client, "source", "--download-only", *packages], place)


def _run(command: list[str], place: Path) -> None:
    try:
        done = subprocess.run(command, cwd=place, capture_output=True, text=True, timeout=300)
    except FileNotFoundError as problem:
        raise NotFetched("no apt-get here: samples come from Debian's source packages") from problem
    except subprocess.TimeoutExpired as problem:
        raise NotFetched(f"{' '.join(command[-2:])}: no answer in five minutes") from problem
    if done.returncode:
        raise NotFetched(f"{' '.join(command[-2:])}: {done.stderr.strip()}")


def unpack(archive: Archive, path: Path, folder: Path) -> None:
    """Check an archive and put its samples into a folder; errors as in `fetch`."""
    if not path.is_file():
        raise NotFetched(f"{archive.package}: the mirror has another version than {archive.name}")
    if hashlib.sha256(path.read_bytes()).hexdigest() != archive.digest:
        raise NotFetched(f"{archive.name}: not the copy that is expected, by its SHA-256")
    with (
        tarfile.open(path) as whole,
        tempfile.TemporaryDirectory(dir=folder) as made,
    ):
        part = Path(made) / "part"
        part.mkdir()
        for member in whole.getmembers():
            held = whole.extractfile(member) if member.isfile() else None
            name = PurePosixPath(member.name)
            if held is None or not name.is_relative_to(archive.samples) or ".." in name.parts:
                continue
            to = part / name.relative_to(archive.samples)
            to.parent.mkdir(parents=True, exist_ok=True)
            to.write_bytes(held.read())
        # Whole at once: a folder that is there is complete.
        (folder / archive.samples).parent.mkdir(parents=True, exist_ok=True)
        part.rename(folder / archive.samples)
