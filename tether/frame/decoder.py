"""Raw and HEIF files are decoded in a process of its own: one that fails there costs its frame."""

from __future__ import annotations

import json
from dataclasses import asdict
from io import RawIOBase
from pathlib import Path

import numpy as np
from pydantic import BaseModel, ValidationError

from tether.frame import pixels, wire
from tether.frame.decoded import Decoded
from tether.frame.file import Unreadable
from tether.frame.guarded import Guarded
from tether.frame.pool import IDLE_S, Pool
from tether.frame.reader import Died, Late, NotStarted
from tether.frame.same_file import proof
from tether.sharpness.curve import ToneCurve

SECONDS = 20.0
"""What decoding one file may take."""

# Luma of 16 bits of the largest picture that is judged.
_LARGEST_ANSWER = 2 * pixels.LARGEST_PIXELS


class _Head(BaseModel):
    """What goes before the bytes of an answer."""

    error: str | None = None
    changed: bool = False
    jpeg: bool = False
    shape: tuple[int, int] = (0, 0)
    bits: int = 8
    said: str = ""
    full: tuple[int, int] | None = None
    curve: ToneCurve | None = None
    orientation: int | None = None


class Decoder(Pool):
    """Processes for all threads, the first started by the first file that needs it.

    Parameters
    ----------
    seconds
        What one file may take.
    command
        What to run instead of the decoder, for trying out how it can go wrong.
    idle_s
        After which further processes are ended.
    """

    def __init__(
        self, seconds: float = SECONDS, command: list[str] | None = None, idle_s: float = IDLE_S
    ) -> None:
        super().__init__("tether.frame.decoding", seconds, command, idle_s)

    def decode(self, kind: str, data: bytes, path: Path | None = None) -> Decoded:
        """Decode a file.

        Parameters
        ----------
        kind
            `raw` or `heif`.
        data
            Its bytes.
        path
            Where they were read from: the decoder reads what it needs from there, if it still is
            the same file. None sends all of them.

        Raises
        ------
        Unreadable
            It cannot be decoded; the message says why.
        Closed
            The program ends.
        """
        with self.lend() as process:
            head, held = self._answer(process, kind, data, path)
            if head.changed:
                head, held = self._answer(process, kind, data, None)
        if head.error is not None:
            raise Unreadable(head.error)
        if head.jpeg:
            return _embedded(held, head)
        luma: pixels.Luma = (
            np.frombuffer(held, np.uint8) if head.bits == 8 else np.frombuffer(held, np.uint16)
        )
        if luma.size != head.shape[0] * head.shape[1]:
            raise Unreadable("its decoder answered nonsense")
        return Decoded(luma.reshape(head.shape), head.said, head.full, head.curve, head.orientation)

    def _answer(
        self, process: Guarded, kind: str, data: bytes, path: Path | None
    ) -> tuple[_Head, bytearray]:
        file = asdict(proof(data, path)) if path is not None else None
        told = json.dumps({"kind": kind, "size": len(data), "file": file}).encode()
        sent = b"" if file else data
        try:
            head, held = process.ask(lambda pipe: wire.send(pipe, told, sent), _receive)
            return _Head.model_validate_json(head), held
        except ValidationError as problem:
            process.anew()
            raise Unreadable("its decoder answered nonsense") from problem
        except Late:
            raise Unreadable(f"decoding it took longer than {self.seconds:g} s") from None
        except Died:
            raise Unreadable("it brought its decoder down: damaged, or made to do so") from None
        except NotStarted:
            raise Unreadable("it cannot be decoded: the decoder does not start") from None


def _receive(pipe: RawIOBase) -> tuple[bytearray, bytearray]:
    return (wire.receive_answer(pipe), wire.receive(pipe, _LARGEST_ANSWER))


def _embedded(jpeg: bytearray, head: _Head) -> Decoded:
    try:
        luma = pixels.luma(jpeg)
    except Unreadable as problem:
        raise Unreadable(f"the JPEG embedded in the raw: {problem}") from problem
    height, width = luma.shape
    said = f"the embedded JPEG, {width} x {height} px"
    if head.full is not None and head.full != (width, height):
        said += f", of a raw of {head.full[0]} x {head.full[1]} px"
    return Decoded(luma, said, head.full)
