"""What a frame was judged by, as the record keeps it: JSON, written and read here alone."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from typing import Any, Self

from tether.contract import rect
from tether.model import (
    Against,
    Around,
    Cause,
    EdgeWidth,
    Eye,
    Judgement,
    Measurement,
    Motion,
    Part,
)
from tether.verdict.taken import focusing


@dataclass(frozen=True, slots=True)
class FrameEvidence:
    """What a frame was judged by; where nothing was kept, every field is as it stands here.

    `focusing` says how it was focused and held, in words, and `lost` what `FocusArea.lost` does.
    The other fields are those of `Judgement`.
    """

    measurement: Measurement | None = None
    size: tuple[int, int] | None = None
    orientation: int = 1
    around: Around | None = None
    focusing: str = ""
    notes: tuple[str, ...] = ()
    lost: str = ""
    slate_refused: str = ""
    limit_times: float = 1.0
    judged_from: str = ""
    eyes: tuple[Eye, ...] = ()
    against: Against | None = None

    @classmethod
    def of(cls, judgement: Judgement) -> Self | None:
        """What is kept of a judgement; None where the frame could not even be opened."""
        if judgement.measurement is None and judgement.size is None:
            return None
        return cls(
            measurement=judgement.measurement,
            size=judgement.size,
            orientation=judgement.orientation,
            around=judgement.around,
            focusing=focusing(judgement.exposure),
            notes=judgement.notes,
            lost=judgement.area.lost if judgement.area else "",
            slate_refused=judgement.slate_refused,
            limit_times=judgement.limit_times,
            judged_from=judgement.judged_from,
            eyes=judgement.eyes,
            against=judgement.against,
        )

    def to_json(self) -> str:
        """As the record keeps it: the measurement's keys stand among the others."""
        told = asdict(self)
        measured = told.pop("measurement") or {}
        return json.dumps(measured | told)

    @classmethod
    def from_json(cls, text: str | None) -> Self:
        """Read it again. What an older record lacks is as the fields stand; other keys are left.

        Raises
        ------
        ValueError
            It is damaged; the message says so.
        """
        if not text:
            return cls()
        try:
            return cls._from(json.loads(text))
        except _DAMAGE as problem:
            raise ValueError(f"what a frame was judged by is damaged ({problem})") from problem

    @classmethod
    def _from(cls, told: dict[str, Any]) -> Self:
        size, against, around = (told.get(key) for key in ("size", "against", "around"))
        return cls(
            measurement=_measurement(told) if "edges" in told else None,
            size=(int(size[0]), int(size[1])) if size else None,
            orientation=int(told.get("orientation") or 1),
            around=_around(around) if around else None,
            focusing=str(told.get("focusing") or ""),
            notes=tuple(str(one) for one in told.get("notes") or ()),
            lost=str(told.get("lost") or ""),
            slate_refused=str(told.get("slate_refused") or ""),
            limit_times=float(told.get("limit_times") or 1.0),
            judged_from=str(told.get("judged_from") or ""),
            eyes=tuple(_eye(one) for one in told.get("eyes") or ()),
            against=_against(against) if against else None,
        )


_DAMAGE = (
    *(LookupError, AttributeError, TypeError, ValueError),
    *(OverflowError, RecursionError),
)


def _measurement(told: dict[str, Any]) -> Measurement:
    motion, reason = told["motion"], told["reason"]
    return Measurement(
        _width(told["widest"]),
        _width(told["narrowest"]),
        Motion(float(motion["angle_deg"]), float(motion["ratio"])) if motion else None,
        Cause(reason) if reason else None,
        float(told["noise"]),
        int(told["edges"]),
        float(told["clipped"]),
        str(told.get("note") or ""),
    )


def _width(told: dict[str, Any] | None) -> EdgeWidth | None:
    return EdgeWidth(float(told["px"]), float(told["lo"]), float(told["hi"])) if told else None


def _around(told: dict[str, Any]) -> Around:
    place, width = told.get("sharpest") or (None, None)
    known = _width(width)
    sharpest = (rect(place), known) if place and known else None
    return Around(sharpest, *(int(told.get(key) or 0) for key in ("moved", "still", "looked")))


def _eye(told: dict[str, Any]) -> Eye:
    return Eye(Part(told["part"]), rect(told["rect"]), _width(told.get("width")))


def _against(told: dict[str, Any]) -> Against:
    number, ratio = told["number"], told["ratio_95"]
    return Against(
        str(told["frame"]),
        int(number) if number is not None else None,
        (float(ratio[0]), float(ratio[1])) if ratio else None,
        str(told.get("reason") or ""),
    )
