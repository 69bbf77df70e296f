"""Frames that are judged and looked at again, as `tether check --explain` does it."""

from __future__ import annotations

import time
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.pictures import jpeg
from tether.frame import pixels
from tether.judge import Asked, judge
from tether.model import Judgement
from tether.settings import Settings
from tether.sharpness.cut import with_margin
from tether.sharpness.evidence import Evidence, evidence

U8 = NDArray[np.uint8]


CENTRE = Settings.model_validate({"area": {"sources": ["frame centre"]}})


def seen(
    folder: Path, picture: U8, name: str = "bowl.jpg", settings: Settings = CENTRE
) -> tuple[Judgement, U8, Evidence]:
    """The judgement of a picture, its focus area's pixels, and what was found there."""
    path = folder / name
    path.write_bytes(jpeg(picture))
    asked = Asked(path, path.stem, datetime.now().astimezone(), time.monotonic(), folder)
    judgement = judge(asked, settings).judgement
    assert judgement.area is not None
    luma = pixels.luma(path.read_bytes())
    cut, inner = with_margin(luma, judgement.area.rect)
    rows = slice(inner.y, inner.y + inner.height)
    area = np.asarray(cut[rows, inner.x : inner.x + inner.width], np.uint8)
    return judgement, area, evidence(cut, inner)
