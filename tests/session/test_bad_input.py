"""Whatever lands in the folder: one clear line, the session goes on, no file is touched."""

from __future__ import annotations

import ctypes
import os
import shutil
import struct
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from threading import Thread

import numpy as np
import pytest
from PIL import Image
from skimage import data

from tests.pictures import grey, jpeg, portrait, tagged, through_pillow, write
from tests.session.made import until
from tests.session.running import Begin
from tether import contract
from tether.judge import Asked, Judged, judge
from tether.model import Cause, Verdict
from tether.plain import plain
from tether.session.reader import Reader
from tether.settings import Settings

GOOD = jpeg(portrait())


def huge() -> bytes:
    coded = bytearray(jpeg(grey()))
    frame = coded.index(b"\xff\xc0") + 5
    coded[frame : frame + 4] = struct.pack(">HH", 60000, 60000)
    return bytes(coded)


UNREADABLE: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "empty": ("bad.jpg", lambda: b"", "empty"),
    "cut short": ("bad.jpg", lambda: GOOD[: len(GOOD) // 2], "cut short"),
    "PNG cut short": ("bad.png", lambda: through_pillow(grey(), "PNG")[:40000], "cut short"),
    "TIFF cut short": ("bad.tif", lambda: through_pillow(grey(), "TIFF")[:40000], "cut short"),
    "no picture": (
        "bad.jpg",
        lambda: b"<html>not found</html>" * 99,
        "not a JPEG, PNG, TIFF, raw or HEIF picture",
    ),
    "60000 x 60000": ("bad.jpg", huge, "60000 x 60000"),
    "1 x 1": ("bad.jpg", lambda: jpeg(grey()[:1, :1]), "1 x 1 px is too small"),
}


@pytest.mark.parametrize("case", UNREADABLE)
def test_what_cannot_be_read_gets_one_line_and_the_next_frame_is_judged(
    case: str, folder: Path, watched: Begin
) -> None:
    name, make, reason = UNREADABLE[case]
    content = make()
    running = watched()
    path = write(folder / name, content)
    running.until_told(1)
    line = contract.as_dict(running.told[0])
    assert (line["verdict"], line["cause"]) == ("unjudged", "unreadable")
    assert reason in line["error"]
    assert line["file"] == str(path)
    write(folder / "good.jpg", GOOD)
    running.until_told(2)
    assert running.told[1].verdict is Verdict.SHARP
    assert path.read_bytes() == content


JUDGED: dict[str, tuple[str, Callable[[], bytes]]] = {
    "greyscale": ("grey.jpg", lambda: jpeg(grey())),
    "progressive": ("p.jpg", lambda: through_pillow(portrait(), "JPEG", progressive=True)),
    "16-bit PNG": (
        "deep.png",
        lambda: through_pillow(data.camera().astype(np.uint16) * 257, "PNG"),
    ),
    "16-bit TIFF": (
        "deep.tif",
        lambda: through_pillow(data.camera().astype(np.uint16) * 257, "TIFF"),
    ),
    "a name in capitals": ("LOUD.JPEG", lambda: GOOD),
}


@pytest.mark.parametrize("case", JUDGED)
def test_what_is_merely_unusual_is_judged(case: str, folder: Path, watched: Begin) -> None:
    name, make = JUDGED[case]
    running = watched()
    write(folder / name, make())
    running.until_told(1)
    assert running.told[0].error is None
    assert running.told[0].measurement is not None


def test_cmyk_is_judged_by_its_light(folder: Path, watched: Begin) -> None:
    running = watched()
    Image.fromarray(portrait()).convert("CMYK").save(folder / "press.jpg", quality=95)
    running.until_told(1)
    assert running.told[0].verdict is Verdict.SHARP


def asked(path: Path) -> Asked:
    return Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), path.parent)


def test_deleted_before_it_is_read(folder: Path) -> None:
    judgement = judge(asked(folder / "gone.jpg"), Settings()).judgement
    assert judgement.cause is Cause.UNREADABLE
    assert judgement.error == "not there, or gone before it could be read"


def test_deleted_while_it_waits_it_gets_its_line(folder: Path, watched: Begin) -> None:
    one = Settings.model_validate({"watch": {"workers": 1}})
    for number in range(10):
        write(folder / f"bowl-{number}.jpg", jpeg(np.tile(portrait(), (6, 6, 1))))
    running = watched(one)
    until(lambda: bool(running.told))
    doomed = next(p for p in folder.glob("*.jpg") if p.stem not in running.names())
    doomed.unlink()
    until(lambda: len(running.told) == 10)
    (line,) = [one for one in running.told if one.frame == doomed.stem]
    assert line.error in {
        "not there, or gone before it could be read",
        None,
    }  # its turn may just have come


def test_a_name_of_newlines_and_escape_sequences_is_shown_harmless(
    folder: Path, watched: Begin
) -> None:
    name = os.fsdecode(b"bowl\n\x1b]0;owned\x07\x1b[2J\xff\xe2\x80\xae.jpg")
    running = watched()
    write(folder / name, GOOD)
    running.until_told(1)
    assert running.told[0].verdict is Verdict.SHARP
    printed = contract.line(running.told[0])
    assert printed.isascii()
    assert "\n" not in printed
    assert "\x1b" not in printed
    (row,) = Reader(folder).rows_since(0)
    assert row.name == plain(row.name)
    assert "\x1b" not in row.name


def test_a_link_out_of_the_folder_is_not_followed(
    folder: Path, tmp_path: Path, watched: Begin
) -> None:
    secret = tmp_path / "elsewhere.jpg"
    secret.write_bytes(GOOD)
    running = watched()
    (folder / "link.jpg").symlink_to(secret)
    running.until_told(1)
    assert running.told[0].cause is Cause.UNREADABLE
    assert "leads out of the folder" in (running.told[0].error or "")


def test_a_pipe_by_a_pictures_name_holds_nothing_up(folder: Path, watched: Begin) -> None:
    running = watched()
    os.mkfifo(folder / "pipe.jpg")
    write(folder / "good.jpg", GOOD)
    until(lambda: "good" in running.names())


def test_no_permission_is_said(folder: Path) -> None:
    path = write(folder / "locked.jpg", GOOD)
    path.chmod(0)
    found: list[Judged] = []

    def as_somebody_else() -> None:
        # Root may read anything; a thread whose file-system user is nobody may not.
        if os.geteuid() == 0:
            ctypes.CDLL(None).setfsuid(65534)
        found.append(judge(asked(path), Settings()))

    thread = Thread(target=as_somebody_else)
    thread.start()
    thread.join()
    assert found[0].judgement.cause is Cause.UNREADABLE
    assert found[0].judgement.error == "no permission to read it"


_ON_A_FULL_DISK = """
import shutil, sys
from pathlib import Path
from tests.session.made import until
from tests.session.running import Running
from tether.session.reader import Reader

folder, good = Path(sys.argv[1]), Path(sys.argv[2])
shutil.copy(good, folder / ".held back")
running = Running(folder).begin()
shutil.copy(good, folder / "one.jpg")
running.until_told(1)
filler = (folder / "filler").open("wb", buffering=0)
try:
    while True: filler.write(b"x" * 512)
except OSError:
    pass
(folder / ".held back").rename(folder / "two.jpg")  # a new name takes no room
running.until_told(2)
print(running.told[1].verdict.value, "|", running.told[1].error)
(folder / "filler").unlink()
filler.close()
until(lambda: len(Reader(folder).rows_since(0)) == 2)
running.end()
print(len(running.told), [row.name for row in Reader(folder).rows_since(0)])
"""


def test_a_full_disk_under_the_record_loses_no_verdict(tmp_path: Path) -> None:
    good = tmp_path / "good.jpg"
    good.write_bytes(tagged(GOOD, {"Exif.Image.Model": "Studio One"}))
    small = tmp_path / "small disk"
    small.mkdir()
    script = tmp_path / "session.py"
    script.write_text(_ON_A_FULL_DISK)
    # A real small disk, mounted in a name space of its own.
    mounted = f'mount -t tmpfs -o size=1500k none "{small}" && exec "$@"'
    command = ["sh", "-c", mounted, "sh", sys.executable, str(script), str(small), str(good)]
    if shutil.which("unshare") is None:
        pytest.skip("needs unshare (util-linux) for a small disk of its own")
    done = subprocess.run(
        ["unshare", "--user", "--map-root-user", "--mount", *command],
        capture_output=True,
        text=True,
        timeout=60,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join([str(Path(__file__).parents[2]), *sys.path]),
        },
    )
    if "unshare" in done.stderr and done.returncode:
        pytest.skip(f"no small disk can be made here: {done.stderr.strip()}")
    assert done.returncode == 0, done.stderr
    while_full, after = done.stdout.splitlines()
    assert while_full.startswith("sharp | not recorded yet")
    assert "full" in while_full
    assert after == "2 ['one', 'two']"
