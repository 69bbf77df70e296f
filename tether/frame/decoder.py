"""Raw and HEIF files are decoded in a process of its own: one that fails there costs its frame."""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from io import RawIOBase

import numpy as np
from pydantic import BaseModel, ValidationError

from tether.frame import pixels, wire
from tether.frame.decoded import Decoded
from tether.frame.file import Unreadable
from tether.frame.guarded import Guarded
from tether.frame.reader import Died, Late, NotStarted
from tether.sharpness.curve import ToneCurve

_log = logging.getLogger(__name__)

SECONDS = 20.0
"""What decoding one file may take."""

# Luma of 16 bits of the largest picture that is judged.
_LARGEST_ANSWER = 2 * pixels.LARGEST_PIXELS


class _Head(BaseModel):
    """What goes before the bytes of an answer."""

    error: str | None = None
    jpeg: bool = False
    shape: tuple[int, int] = (0, 0)
    bits: int = 8
    said: str = ""
    full: tuple[int, int] | None = None
    curve: ToneCurve | None = None
    orientation: int | None = None


@dataclass(frozen=True, slots=True)
class _Received:
    head: bytearray
    data: bytearray


class Decoder(Guarded):
    """One process for all threads, started by the first file that needs it.

    Parameters
    ----------
    seconds
        What one file may take.
    command
        What to run instead of the decoder, for trying out how it can go wrong.
    """

    def __init__(self, seconds: float = SECONDS, command: list[str] | None = None) -> None:
        super().__init__("tether.frame.decoding", seconds, command)

    def decode(self, kind: str, data: bytes) -> Decoded:
        """Decode a file.

        Parameters
        ----------
        kind
            `raw` or `heif`.
        data
            Its bytes.

        Raises
        ------
        Unreadable
            It cannot be decoded; the message says why.
        """
        with self.lock:
            received = self._received(kind, data)
            try:
                head = _Head.model_validate(json.loads(received.head))
            except (ValueError, ValidationError) as problem:
                self.anew()
                raise Unreadable("its decoder answered nonsense") from problem
        if head.error is not None:
            raise Unreadable(head.error)
        if head.jpeg:
            return _embedded(bytes(received.data), head)
        held = received.data
        luma: pixels.Luma = (
            np.frombuffer(held, np.uint8) if head.bits == 8 else np.frombuffer(held, np.uint16)
        )
        if luma.size != head.shape[0] * head.shape[1]:
            raise Unreadable("its decoder answered nonsense")
        return Decoded(luma.reshape(head.shape), head.said, head.full, head.curve, head.orientation)

    def _received(self, kind: str, data: bytes) -> _Received:
        try:
            return self.ask(lambda pipe: wire.send(pipe, kind.encode(), data), _receive)
        except Late:
            raise Unreadable(f"decoding it took longer than {self._seconds:g} s") from None
        except Died:
            raise Unreadable("it brought its decoder down: damaged, or made to do so") from None
        except NotStarted:
            raise Unreadable("it cannot be decoded: the decoder does not start") from None


def _receive(pipe: RawIOBase) -> _Received:
    return _Received(wire.receive_answer(pipe), wire.receive(pipe, _LARGEST_ANSWER))


def _embedded(jpeg: bytes, head: _Head) -> Decoded:
    try:
        luma = pixels.luma(jpeg)
    except Unreadable as problem:
        raise Unreadable(f"the JPEG embedded in the raw: {problem}") from problem
    height, width = luma.shape
    said = f"the embedded JPEG, {width} x {height} px"
    if head.full is not None and head.full != (width, height):
        said += f", of a raw of {head.full[0]} x {head.full[1]} px"
    return Decoded(luma, said, head.full)
