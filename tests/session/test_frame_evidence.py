"""What a frame was judged by is read from the record as it was written, by any version."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.session.made import entry
from tether.model import (
    Against,
    Around,
    Cause,
    EdgeWidth,
    Eye,
    Measurement,
    Motion,
    Part,
    Rect,
    Verdict,
)
from tether.session import overrules
from tether.session.frame_evidence import FrameEvidence
from tether.session.overrules import OverruleError
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.schema import NAME

# The texts are as records hold them that were written before this structure was there.
WHOLE = (
    '{"widest": {"px": 7.2, "lo": 6.5, "hi": 7.9}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, '
    '"motion": {"angle_deg": 31.5, "ratio": 1.8}, "reason": null, "noise": 0.004, "edges": 212, '
    '"clipped": 0.01, "note": "edges run one way only", "size": [6000, 4000], "orientation": 6, '
    '"around": {"sharpest": [{"x": 1, "y": 2, "width": 3, "height": 4}, {"px": 2.0, "lo": 1.5, '
    '"hi": 2.5}], "moved": 1, "still": 2, "looked": 9}, "focusing": "manual focus at 1.32 m, '
    'stabiliser on", "notes": ["bowl-0001.xmp is left aside"], "lost": "the camera moved too far", '
    '"slate_refused": "no setup has the code B-7", "limit_times": 1.25, "judged_from": "the raw\'s '
    'green samples", "eyes": [{"part": "near eye", "rect": {"x": 100, "y": 100, "width": 150, '
    '"height": 150}, "width": {"px": 3.1, "lo": 2.6, "hi": 3.7}}, {"part": "far eye", "rect": '
    '{"x": 400, "y": 110, "width": 150, "height": 150}, "width": null}], "against": {"frame": '
    '"bowl-0000", "number": 3, "ratio_95": [1.05, 1.2], "reason": ""}}'
)
NOT_MEASURED = (
    '{"widest": null, "narrowest": null, "motion": null, "reason": "too noisy", "noise": 0.2, '
    '"edges": 4, "clipped": 0.0, "note": "", "size": [6000, 4000], "orientation": 1, "around": '
    'null, "focusing": "", "notes": [], "lost": "", "slate_refused": "", "limit_times": 1.0, '
    '"judged_from": "", "eyes": [], "against": {"frame": "bowl-0000", "number": null, "ratio_95": '
    'null, "reason": "too little detail to compare"}}'
)
WITHOUT_AREA = (
    '{"size": [6000, 4000], "orientation": 1, "around": null, "focusing": "", "notes": [], "lost": '
    '"", "slate_refused": "", "limit_times": 1.0, "judged_from": "", "eyes": [], "against": null}'
)
FIRST = (  # of the first version, and one key that nobody knows
    '{"widest": {"px": 2.5, "lo": 2.2, "hi": 2.8}, "narrowest": {"px": 2.4, "lo": 2.1, "hi": 2.7}, '
    '"motion": null, "reason": null, "noise": 0.004, "edges": 212, "clipped": 0.01, "of": "later"}'
)

KEPT = {
    WHOLE: FrameEvidence(
        measurement=Measurement(
            EdgeWidth(7.2, 6.5, 7.9),
            EdgeWidth(2.4, 2.1, 2.7),
            Motion(31.5, 1.8),
            None,
            *(0.004, 212, 0.01, "edges run one way only"),
        ),
        size=(6000, 4000),
        orientation=6,
        around=Around((Rect(1, 2, 3, 4), EdgeWidth(2.0, 1.5, 2.5)), moved=1, still=2, looked=9),
        focusing="manual focus at 1.32 m, stabiliser on",
        notes=("bowl-0001.xmp is left aside",),
        lost="the camera moved too far",
        slate_refused="no setup has the code B-7",
        limit_times=1.25,
        judged_from="the raw's green samples",
        eyes=(
            Eye(Part.NEAR_EYE, Rect(100, 100, 150, 150), EdgeWidth(3.1, 2.6, 3.7)),
            Eye(Part.FAR_EYE, Rect(400, 110, 150, 150)),
        ),
        against=Against("bowl-0000", 3, (1.05, 1.2)),
    ),
    NOT_MEASURED: FrameEvidence(
        measurement=Measurement(None, None, None, Cause.TOO_NOISY, 0.2, 4, 0.0),
        size=(6000, 4000),
        against=Against("bowl-0000", None, None, "too little detail to compare"),
    ),
    WITHOUT_AREA: FrameEvidence(size=(6000, 4000)),
}


def put(folder: Path, text: str | None) -> None:
    with closing(sqlite3.connect(folder / NAME)) as opened:
        opened.execute("UPDATE frames SET evidence = ?", (text,))
        opened.commit()


@pytest.mark.parametrize("text", list(KEPT))
def test_a_record_of_before_is_read_as_it_was_written_and_written_so_still(
    folder: Path, text: str
) -> None:
    Record(folder).add(entry(folder, "bowl-0001"))
    put(folder, text)
    assert Reader(folder).evidence(1) == KEPT[text]
    assert KEPT[text].to_json() == text


def test_what_an_older_record_lacks_is_as_nothing_told_of_it() -> None:
    width, narrow = EdgeWidth(2.5, 2.2, 2.8), EdgeWidth(2.4, 2.1, 2.7)
    measured = Measurement(width, narrow, None, None, 0.004, 212, 0.01)
    assert FrameEvidence.from_json(FIRST) == FrameEvidence(measured)
    assert FrameEvidence.from_json(None) == FrameEvidence()


DAMAGED = [
    "no JSON",
    "[]",
    "null",
    "[" * 100_000,
    WHOLE[:-20],
    WHOLE.replace('"hi": 7.9', '"hi": null'),
    WHOLE.replace('"noise": 0.004, ', ""),
    WHOLE.replace("near eye", "third eye"),
    WHOLE.replace('"orientation": 6', '"orientation": Infinity'),
    WHOLE.replace("[6000, 4000]", "[6000]"),
]


@pytest.mark.parametrize("text", DAMAGED, ids=range(len(DAMAGED)))
def test_damage_is_told_in_one_way(text: str) -> None:
    with pytest.raises(ValueError, match=r"^what a frame was judged by is damaged \("):
        FrameEvidence.from_json(text)


def test_a_limit_does_not_follow_where_that_is_damaged_but_the_word_stands(folder: Path) -> None:
    Record(folder).add(entry(folder, "bowl-0001", Verdict.SOFT))
    put(folder, WHOLE[:-20])
    with pytest.raises(OverruleError, match="is damaged"):
        overrules.overrule(folder, 1, Verdict.SHARP, "a small print", feed=True)
    assert Reader(folder).overrule(1) is None
    overrules.overrule(folder, 1, Verdict.SHARP, "a small print", feed=False)
    assert Reader(folder).overrule(1) == ("sharp", "a small print")
