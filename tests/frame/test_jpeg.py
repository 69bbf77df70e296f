"""Pictures are decoded into memory that was used before, but never into that of one still held."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import simplejpeg
from numpy.typing import NDArray

from tests.pictures import grey, jpeg
from tether.frame.jpeg import luma

ONE, OTHER = jpeg(grey()), jpeg(np.ascontiguousarray(grey()[::-1]))


def by_itself(data: bytes) -> NDArray[np.uint8]:
    return np.array(simplejpeg.decode_jpeg(data, colorspace="GRAY")[..., 0])


def address(picture: NDArray[np.uint8]) -> int:
    return int(picture.__array_interface__["data"][0])


def test_memory_is_used_again_once_nobody_holds_it() -> None:
    where = [address(luma(data)) for data in (ONE, OTHER, ONE)]
    assert len(set(where)) == 1


def test_what_is_held_stays_as_it_is() -> None:
    for held in (luma(ONE), luma(ONE)[10:50, ::3], luma(ONE).reshape(-1)[5:]):
        before = held.copy()
        other = luma(OTHER)
        assert not np.shares_memory(held, other)
        np.testing.assert_array_equal(held, before)
        np.testing.assert_array_equal(other, by_itself(OTHER))
        del other


def test_a_smaller_picture_in_the_memory_of_a_larger_one_is_its_own() -> None:
    small = jpeg(np.ascontiguousarray(grey()[:100, :150]))
    large = address(luma(ONE))
    found = luma(small)
    assert address(found) == large
    assert found.shape == (100, 150)
    np.testing.assert_array_equal(found, by_itself(small))


def test_threads_have_memory_of_their_own() -> None:
    def decoded(nth: int) -> bool:
        data = (ONE, OTHER)[nth % 2]
        return all(np.array_equal(luma(data), by_itself(data)) for _ in range(20))

    with ThreadPoolExecutor(4) as pool:
        assert all(pool.map(decoded, range(16)))
