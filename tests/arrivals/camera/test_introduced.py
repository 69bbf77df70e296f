"""Every network camera is told one name of this computer, however many are met at once."""

from __future__ import annotations

import re
import threading
from pathlib import Path

import pytest

from mocks.camera import packets
from mocks.camera.camera import Camera
from tests.arrivals.camera.tethered import Tethered
from tether.arrivals.camera.introduced import introduce
from tether.arrivals.camera.process import own_settings


def kept(settings: Path) -> str:
    return (settings / "gphoto" / "settings").read_text()


def test_of_many_at_once_the_first_name_is_everybodys(tmp_path: Path) -> None:
    seen: set[str] = set()

    def meet() -> None:
        introduce(tmp_path)
        seen.add(kept(tmp_path))

    threads = [threading.Thread(target=meet) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(seen) == 1
    assert re.fullmatch(r"ptp2_ip=guid=[0-9a-f]{2}(:[0-9a-f]{2}){15}\n", seen.pop())
    assert [one.name for one in (tmp_path / "gphoto").iterdir()] == ["settings"]


def test_the_library_tells_cameras_the_name_that_is_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[bytes] = []
    receive = packets.receive

    def listening(connection: object) -> tuple[int, bytes]:
        kind, payload = receive(connection)  # type: ignore[arg-type]
        if kind == packets.Type.INIT_COMMAND_REQUEST:
            told.append(payload[:16])  # CIPA DC-005: the initiator's GUID comes first
        return kind, payload

    monkeypatch.setattr(packets, "receive", listening)
    introduce(own_settings())
    before = kept(own_settings())
    with Camera() as camera:
        tethered = Tethered(folder, camera)
        tethered.begin()
        try:
            tethered.until_connected()
        finally:
            tethered.end()
    assert {one.hex(":") for one in told} == {before.strip().rpartition("=")[2]}
    assert kept(own_settings()) == before
