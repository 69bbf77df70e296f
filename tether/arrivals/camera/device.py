"""The camera through libgphoto2. Runs in a process of its own, with one thread.

The library can crash, hang, print, and close descriptors that are not its own; an object of it is
good for one connection. So whatever fails here, the process ends and another one takes over.
"""

from __future__ import annotations

import os
import socket
import time
import warnings
from contextlib import suppress

import gphoto2 as gp

from tether.arrivals.camera import reading
from tether.arrivals.camera.messages import (
    NETWORK,
    Found,
    Happened,
    Kind,
    OnCard,
    Refused,
    Store,
    Why,
)

# Both numbers are needed: without the second, events are looked for at the standard's port.
_PTPIP = f"{NETWORK}:"
_PTPIP_PORT = "15740"
_PTPIP_MODEL = "PTP/IP Camera"

_OF_FILES = {gp.GP_EVENT_FILE_ADDED: Kind.FILE, gp.GP_EVENT_FILE_CHANGED: Kind.CHANGED}
_STORE_FULL = "PTP Event 400a"
_SETTING = "PTP Property "

_WHY = {
    gp.GP_ERROR_CAMERA_BUSY: Why.BUSY,
    gp.GP_ERROR_FILE_NOT_FOUND: Why.MISSING,
    gp.GP_ERROR_DIRECTORY_NOT_FOUND: Why.MISSING,
    gp.GP_ERROR_MODEL_NOT_FOUND: Why.NONE,
    gp.GP_ERROR_UNKNOWN_PORT: Why.NONE,
    gp.GP_ERROR_IO_USB_CLAIM: Why.HELD,
    gp.GP_ERROR_IO_LOCK: Why.HELD,
    gp.GP_ERROR_IO_USB_FIND: Why.NONE,
    gp.GP_ERROR_TIMEOUT: Why.SILENT,
    gp.GP_ERROR_IO: Why.BROKEN,
}

# The library's own hint, and no argument of ours is in or out.
warnings.filterwarnings("ignore", message="In function gp_camera_file_get")


class Device:
    """One connection to one camera.

    Raises
    ------
    Refused
        From every method.
    """

    def __init__(self) -> None:
        self._camera: gp.Camera | None = None

    def find(self) -> list[Found]:
        """Return the cameras on the cables, without asking any of them for anything."""
        try:
            there = gp.Camera.autodetect().items()
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem
        # A mounted card with pictures counts as a camera there.
        return [Found(model, port) for model, port in there if not port.startswith("disk:")]

    def open(self, port: str, model: str) -> Found:
        """Connect to the camera on a port, and return what it calls itself."""
        camera = gp.Camera()
        try:
            _point(camera, port, model)
            camera.init()
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem
        self._camera = camera
        # On a cable the library knows the model by its name; at an address only the camera does.
        if port.startswith(_PTPIP):
            model = _setting(camera, "cameramodel") or model
        return Found(model, port, _setting(camera, "serialnumber"), _ahead(camera))

    def files(self) -> list[OnCard]:
        """Return every file on the card, folder by folder."""
        camera, found, waiting, left_out = self._open, [], ["/"], False
        try:
            while waiting:
                folder = waiting.pop()
                for name, _ in camera.folder_list_files(folder).items():
                    try:
                        found.append(self._described(folder, name))
                    except gp.GPhoto2Error:
                        left_out = True  # one bad file must not hide all others
                below = [name for name, _ in camera.folder_list_folders(folder).items()]
                waiting += [f"{folder.rstrip('/')}/{name}" for name in reversed(below)]
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem
        if left_out:
            self.probe()
        return found

    def wait(self, seconds: float) -> list[Happened]:
        """Return what happens in the next seconds, at once when something does."""
        found: list[Happened] = []
        deadline = time.monotonic() + seconds
        try:
            while True:
                left = 0 if found else max(0.0, deadline - time.monotonic())
                begun = time.monotonic()
                kind, data = self._open.wait_for_event(min(_SLICE_MS, int(1000 * left)))
                if kind == gp.GP_EVENT_TIMEOUT:
                    if found or left <= 0:
                        return found
                    # Some drivers return long before the time is up, and would keep a core busy.
                    time.sleep(max(0.0, min(left, _SLICE_MS / 1000) - (time.monotonic() - begun)))
                else:
                    found += self._event(kind, data)
                    if time.monotonic() >= deadline + _SLICE_MS / 1000:
                        return found
        except gp.GPhoto2Error as problem:
            if found:
                return found  # whatever is wrong will be so at the next call
            raise _refused(problem) from problem

    def fetch(self, folder: str, name: str, path: str) -> int:
        """Copy a file from the card into an empty file; return how many bytes came."""
        try:
            target = os.open(path, os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_CLOEXEC, 0o666)
        except OSError as problem:
            raise Refused(Why.DISK, str(problem)) from problem
        # The library's file takes the descriptor over and closes it with its last reference.
        file = gp.check_result(gp.gp_file_new_from_fd(target))
        try:
            normal = gp.GP_FILE_TYPE_NORMAL
            gp.check_result(gp.gp_camera_file_get(self._open, folder, name, normal, file))
            return os.fstat(target).st_size
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem

    def delete(self, folder: str, name: str) -> None:
        """Take a file off the card."""
        try:
            self._open.file_delete(folder, name)
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem

    def probe(self) -> int | None:
        """Find out whether the camera still answers; no other call tells for sure.

        Returns
        -------
        int | None
            The kilobytes that are free on its cards; None where it does not tell.
        """
        try:
            stores = self._open.get_storageinfo()
        except gp.GPhoto2Error as problem:
            if problem.code != gp.GP_ERROR_NOT_SUPPORTED:
                raise _refused(problem) from problem
            return None
        tell = [one for one in stores if one.fields & gp.GP_STORAGEINFO_FREESPACEKBYTES]
        return sum(int(one.freekbytes) for one in tell) if tell else None

    def told(self, names: list[str]) -> dict[str, str | float]:
        """Return what these settings are; what the camera does not tell is left out."""
        try:
            return reading.settings(self._open, names)
        except gp.GPhoto2Error as problem:
            raise _refused(problem) from problem

    def store(self) -> Store:
        """Return the room on the cards, all of them together."""
        try:
            return reading.store(self._open)
        except gp.GPhoto2Error as problem:
            if problem.code == gp.GP_ERROR_NOT_SUPPORTED:
                return Store()
            raise _refused(problem) from problem

    def close(self) -> None:
        """Let go of the camera, as far as it still listens."""
        camera, self._camera = self._camera, None
        if camera is not None:
            with suppress(gp.GPhoto2Error):
                camera.exit()

    @property
    def _open(self) -> gp.Camera:
        if self._camera is None:
            raise Refused(Why.FAILED, "no camera is open")
        return self._camera

    def _event(self, kind: int, data: object) -> list[Happened]:
        if kind in _OF_FILES:
            try:
                file = self._described(data.folder, data.name)  # type: ignore[attr-defined]
            except gp.GPhoto2Error:
                file = None
            return [Happened(_OF_FILES[kind], data.name, file)]  # type: ignore[attr-defined]
        if kind == gp.GP_EVENT_FOLDER_ADDED:
            return [Happened(Kind.FOLDER, data.name)]  # type: ignore[attr-defined]
        if isinstance(data, str) and data.lower().startswith(_STORE_FULL.lower()):
            return [Happened(Kind.CARD_FULL, "")]
        if isinstance(data, str) and data.startswith(_SETTING):
            return [Happened(Kind.SETTING, "")]
        return []

    def _described(self, folder: str, name: str) -> OnCard:
        told = self._open.file_get_info(folder, name).file
        return OnCard(folder, name, int(told.size), int(told.mtime))


_SLICE_MS = 40


def _point(camera: gp.Camera, port: str, model: str) -> None:
    if port.startswith(_PTPIP):
        port, model = _numbered(port), _PTPIP_MODEL
    ports = gp.PortInfoList()
    ports.load()
    camera.set_port_info(ports.get_info(ports.lookup_path(port)))
    known = gp.CameraAbilitiesList()
    known.load()
    camera.set_abilities(known.get_abilities(known.lookup_model(model)))


def _numbered(port: str) -> str:
    """Return the address in numbers: the library resolves no names."""
    host, _, number = port.removeprefix(_PTPIP).partition(":")
    number = number.partition(":")[0] or _PTPIP_PORT
    try:
        found = socket.getaddrinfo(host, number, socket.AF_INET, socket.SOCK_STREAM)
    except (OSError, UnicodeError) as problem:
        raise Refused(Why.NONE, f"{host} is no host that is known here") from problem
    address = found[0][4][0]
    return f"{_PTPIP}{address}:{number}:{number}"


def _setting(camera: gp.Camera, name: str) -> str | None:
    try:
        value = camera.get_single_config(name).get_value()
    except gp.GPhoto2Error:
        return None
    return str(value).strip() or None


def _ahead(camera: gp.Camera) -> int | None:
    told = _setting(camera, "datetime") or ""
    return int(told) - round(time.time()) if told.isdigit() else None


def _refused(problem: gp.GPhoto2Error) -> Refused:
    return Refused(_WHY.get(problem.code, Why.FAILED), f"{problem.string} ({problem.code})")
