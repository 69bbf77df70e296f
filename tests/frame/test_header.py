"""The cut that goes to the metadata reader tells it what the whole file would."""

from __future__ import annotations

import pytest

from tests.frame.test_tags import SHOT
from tests.frame.xmp import FOCUS_REGION, embedded
from tests.pictures import grey, jpeg, through_pillow
from tether.frame import tags
from tether.frame.header import header


def test_it_is_small_and_says_the_same() -> None:
    whole = embedded(jpeg(grey(), SHOT), FOCUS_REGION)
    cut = header(whole)
    assert len(cut) < 5000 < len(whole)
    assert tags.read(cut, 512, 512) == tags.read(whole, 512, 512)
    assert tags.read(cut, 512, 512).exposure.f_number == 2.8


def test_bytes_that_fill_between_segments_are_passed_over() -> None:
    # Source: ITU-T T.81 B.1.1.2: any marker may be preceded by bytes FF.
    whole = jpeg(grey(), SHOT)
    filled = whole[:2] + b"\xff\xff\xff" + whole[2:]
    assert tags.read(header(filled), 512, 512) == tags.read(whole, 512, 512)


def test_other_kinds_stay_whole() -> None:
    png = through_pillow(grey(), "PNG")
    assert header(png) == png


@pytest.mark.parametrize("length", range(0, 300, 7))
def test_a_cut_short_file_is_cut_without_an_error(length: int) -> None:
    assert header(jpeg(grey(), SHOT)[:length]) is not None
