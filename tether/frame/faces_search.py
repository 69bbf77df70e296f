"""Looking a frame through for faces: a quick first look, and the rest when there is time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from tether.frame.faces import MOST, Face, Point, apart, away, face_at, in_view
from tether.frame.faces_likely import Likely, likely
from tether.frame.pixels import Luma
from tether.frame.view import View, view
from tether.model import Rect

LONG_SIDE = 640
"""Px of the longer side of the small picture that faces are looked for in first."""

_SMALLEST = 24  # px of a face in a small picture
_NEAR = 2 * _SMALLEST  # of faces that are looked for first: a fourth of the work
_CLOSER = 1280  # px of the longer side where nobody was found
_QUARTER = 880  # px of the longer side of the copies that are turned by quarters
_SMALLEST_FURTHER = 20  # px of a face in these two, and where one is likely
_MOST_FURTHER = 50  # boxes that one look may take for faces where nobody was found
_TILE, _CLOSE_TILE = 3, 8  # a point's surroundings have such a part of the longer side
_QUARTERS, _UPSIDE_DOWN = (6, 8), 3  # orientations
_TILTS = (38.0, -38.0)  # degrees: a face is found up to 25 degrees off what it is looked for at
_SETTLED, _LARGE = 0.99, 0.1  # score, or share of the longer side, past which looking ends
_LIKELY = 4  # places that are looked at: 3 ms each


class _Stopped(Exception):
    """Looking was told not to go on."""


@dataclass(slots=True)
class Search:
    """The faces of one frame, as far as it was looked through; never raises for what it shows.

    Faces from 7.5 % of the picture's longer side are looked for the right way up, some 40 ms of a
    core, and from 4 %, some 20 ms more, where no such face is found for sure, or the point that is
    given lies on none. Where none lies at the point, or nobody is found for sure, smaller ones are
    looked for where they are likely, and from 1.3 % close to the point: that is the first look. The
    rest: the point's farther surroundings; and where nobody is found for sure, smaller faces
    everywhere, from 1.6 %, and then those that are tilted, from 4 %, lie on their side, from 2.3 %,
    or stand on their head, from 4 %: 0.2 s, at most 0.4 s.

    Where faces are likely has a say in when they are found, and none in how far is looked.

    Parameters
    ----------
    luma
        Coded values, uint8 or uint16, shape (rows, columns), as stored.
    orientation
        Exif Orientation, 1 to 8.
    at
        Px of the stored frame.
    places
        Where faces are likely, the likeliest first.
    """

    luma: Luma
    orientation: int
    at: Point | None = None
    places: Sequence[Likely] = ()
    ended: bool = False
    """Whether there is nothing left to look at."""
    _first: View | None = None
    _found: list[Face] = field(default_factory=list)
    _likely: list[Face] = field(default_factory=list)
    _late: list[Face] = field(default_factory=list)

    @property
    def faces(self) -> tuple[Face, ...]:
        """Those that were found, the largest first. Those seen from the side never are."""
        every = self._found + apart(self._likely, self._found)
        return tuple(sorted(every, key=lambda face: -face.box.width * face.box.height))

    @property
    def late(self) -> tuple[Likely, ...]:
        """Where a frame like this one has faces that are not found at once."""
        every = self._late + apart(self._likely, self._late)
        return tuple(likely(face, self.luma, self.orientation) for face in every)

    def look(self) -> None:
        """Take the first look."""
        if min(self.luma.shape) < 2:
            self.ended = True
            return
        self._first = view(self.luma, self._whole, LONG_SIDE).turned(self.orientation)
        self._found += in_view(self.luma, self._first, _NEAR)
        # A smaller face may be nearer to the point than one that the point lies beside.
        if not (self._settled and self._is_on_a_face()):
            more = in_view(self.luma, self._first, _SMALLEST, _NEAR - 1)
            self._found += apart(more, self._found)
        if not self._is_over():
            self._look_where_likely()
        if self._wanting:
            self._take(self._about(_CLOSE_TILE))
        self.ended = self._is_over()

    def look_on(self, go_on: Callable[[], bool] = lambda: True) -> bool:
        """Look at the rest, after the first look; False where it was told not to go on.

        `go_on` is asked every 100 ms or so.
        """

        def between() -> None:
            if not go_on():
                raise _Stopped

        try:
            if self._wanting and not self.ended:
                self._take(self._about(_TILE), between=between)
            looks = self._further()
            while not self._settled and (look := next(looks, None)) is not None:
                self._take(*look, _MOST_FURTHER, between)
        except _Stopped:
            return False
        self.ended = True
        return True

    @property
    def _whole(self) -> Rect:
        return Rect(0, 0, self.luma.shape[1], self.luma.shape[0])

    @property
    def _wanting(self) -> bool:
        """Whether a point was given, and no face is known there."""
        return self.at is not None and face_at(self._found, self.at) is None

    @property
    def _settled(self) -> bool:
        """Whether one is surely a face: in a picture that lies on its side much may look like one.

        One that is known from a likely place alone settles nothing: others may be larger.
        """
        large = _LARGE * max(self.luma.shape)
        return any(face.score >= _SETTLED or face.box.width >= large for face in self._found)

    def _is_over(self) -> bool:
        return self._settled and not self._wanting

    def _is_on_a_face(self) -> bool:
        at = self.at
        return at is None or any(away(face, at) <= 0.5 for face in self._found)

    def _take(
        self,
        seen: View,
        smallest: int = _SMALLEST,
        largest: float = math.inf,
        most: int = MOST,
        between: Callable[[], None] = lambda: None,
    ) -> None:
        new = apart(in_view(self.luma, seen, smallest, largest, most, between), self._found)
        self._found += new
        self._late += new

    def _look_where_likely(self) -> None:
        for place in self.places[:_LIKELY]:
            seen = place.about(self.luma, self.orientation)
            if seen is not None:
                found = in_view(self.luma, seen, _SMALLEST_FURTHER)
                self._likely += apart(found, self._found + self._likely)

    def _about(self, part: int) -> View:
        """The surroundings of the point within the frame."""
        assert self.at is not None
        whole = self._whole
        side = max(whole.width, whole.height) // part
        width, height = min(side, whole.width), min(side, whole.height)
        left = min(max(round(self.at[0]) - width // 2, 0), whole.width - width)
        top = min(max(round(self.at[1]) - height // 2, 0), whole.height - height)
        long_side = LONG_SIDE * _TILE // part
        return view(self.luma, Rect(left, top, width, height), long_side).turned(self.orientation)

    def _further(self) -> Iterator[tuple[View, int, float]]:
        """Where else to look, with the sides of the faces to look for, px."""
        luma, orientation, whole, first = self.luma, self.orientation, self._whole, self._first
        if first is None or self.ended:
            return
        if max(luma.shape) > LONG_SIDE:
            closer = view(luma, whole, _CLOSER).turned(orientation)
            # Larger ones would have been found.
            yield closer, _SMALLEST_FURTHER, 1.5 * _SMALLEST * _CLOSER / LONG_SIDE
        for deg in _TILTS:
            yield first.tilted(deg, max(first.picture.shape)), _SMALLEST, math.inf
        upright = view(luma, whole, _QUARTER).turned(orientation)
        for quarter in _QUARTERS:
            yield upright.turned(quarter), _SMALLEST_FURTHER, math.inf
        yield first.turned(_UPSIDE_DOWN), _SMALLEST, math.inf


def find(luma: Luma, orientation: int, at: Point | None = None) -> tuple[Face, ...]:
    """Find the faces of a frame, looking through all of it (`Search`); the largest first."""
    search = Search(luma, orientation, at)
    search.look()
    search.look_on()
    return search.faces
