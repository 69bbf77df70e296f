"""What the watch and the camera's process say to each other: one line of JSON each way."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple

NETWORK = "ptpip"
"""What the port of a camera on the network begins with, before a colon and its host."""

ANY = "any"
"""Asks for whichever camera is there."""


@dataclass(frozen=True, slots=True)
class Found:
    """A camera that can be opened.

    `serial` is None where it does not tell; `ahead_s` is how many seconds its clock is ahead of
    this computer's, None where it does not tell the time.
    """

    model: str
    port: str
    serial: str | None = None
    ahead_s: int | None = None

    @property
    def key(self) -> str:
        """What the record knows it by, whichever port it is on."""
        return f"{self.model} {self.serial or ''}".strip()

    @property
    def network(self) -> bool:
        """Whether it is on the network: a link that can die without a sign."""
        return self.port.startswith(f"{NETWORK}:")

    def __str__(self) -> str:
        serial = f", serial {self.serial}" if self.serial else ""
        return f"{self.model} on {self.port}{serial}"


class OnCard(NamedTuple):
    """A file in the camera: `size` in bytes, `time` in s since 1970 by the camera's clock.

    All four together tell it from every other file that the camera holds or will hold.
    """

    folder: str
    name: str
    size: int
    time: int


class Kind(StrEnum):
    """What an event tells."""

    FILE = "file"
    CHANGED = "changed"
    FOLDER = "folder"
    CARD_FULL = "card full"
    SETTING = "setting"


@dataclass(frozen=True, slots=True)
class Happened:
    """An event; `file` belongs to `FILE` and `CHANGED`, None where the camera describes none."""

    kind: Kind
    name: str
    file: OnCard | None = None


@dataclass(frozen=True, slots=True)
class Store:
    """Room on the cards: `free_frames` by the camera's own estimate; None where it is not told."""

    free_bytes: int | None = None
    free_frames: int | None = None


class Why(StrEnum):
    """Why the camera did not do what it was asked, as far as anybody can tell."""

    NONE = "no camera is found"
    HELD = "another program holds the camera"
    SILENT = "the camera does not answer"
    BROKEN = "there is no link to the camera"
    BUSY = "the camera is busy"
    MISSING = "the camera does not have it"
    DISK = "the file cannot be written"
    FAILED = "the camera failed"


class Refused(Exception):
    """The camera's process could not do what it was asked."""

    def __init__(self, why: Why, said: str) -> None:
        super().__init__(said or why.value)
        self.why = why


def happened(told: dict[str, Any]) -> Happened:
    """Return an event from its JSON object."""
    file = told["file"]
    return Happened(Kind(told["kind"]), told["name"], None if file is None else OnCard(*file))
