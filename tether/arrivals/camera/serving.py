"""The camera's process: reads a request a line, does it, answers with a line."""

from __future__ import annotations

import json
import os
import threading
import time
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, BinaryIO

from tether.arrivals.camera.messages import Refused

if TYPE_CHECKING:
    from tether.arrivals.camera.device import Device


_PARENT_S = 0.5


def serve() -> None:
    """Serve until whoever started this closes the pipe."""
    # The library prints on 1 and 2, and closes 0 with every network camera that it lets go.
    asked, answers = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)
    _hold_descriptor_0()
    threading.Thread(target=_end_with, args=(os.getppid(),), daemon=True).start()
    from tether.arrivals.camera.device import Device

    device = Device()
    _answer(answers, {"ready": True})
    for line in asked:
        _answer(answers, _done(device, json.loads(line)))
        _hold_descriptor_0()
    device.close()


def _end_with(parent: int) -> None:
    """End when whoever started this has: a transfer for nobody keeps the camera from others."""
    while os.getppid() == parent:
        time.sleep(_PARENT_S)
    os._exit(1)


def _done(device: Device, asked: dict[str, Any]) -> dict[str, Any]:
    try:
        return {"ok": _do(device, asked)}
    except Refused as problem:
        return {"refused": problem.why, "said": str(problem)}


def _do(device: Device, asked: dict[str, Any]) -> Any:
    match asked["do"]:
        case "find":
            return [asdict(one) for one in device.find()]
        case "open":
            return asdict(device.open(asked["port"], asked["model"]))
        case "files":
            return device.files()
        case "wait":
            return [asdict(one) for one in device.wait(asked["seconds"])]
        case "fetch":
            return device.fetch(asked["folder"], asked["name"], asked["path"])
        case "delete":
            return device.delete(asked["folder"], asked["name"])
        case "probe":
            return device.probe()
        case "told":
            return device.told(asked["names"])
        case "store":
            return asdict(device.store())
        case "close":
            return device.close()
    raise ValueError(f"asked for {asked['do']!r}")


def _answer(answers: BinaryIO, told: dict[str, Any]) -> None:
    # Names on a card may hold bytes that are no text: escaped, they pass.
    answers.write(json.dumps(told).encode("ascii") + b"\n")


def _hold_descriptor_0() -> None:
    try:
        os.fstat(0)
    except OSError:
        opened = os.open(os.devnull, os.O_RDONLY)
        if opened != 0:
            os.dup2(opened, 0)
            os.close(opened)
    else:
        return
