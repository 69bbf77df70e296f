"""The reference of the moment, with its pixels, for whoever judges a frame."""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from dataclasses import replace
from functools import partial
from itertools import chain
from pathlib import Path

from tether.frame import file, picture
from tether.frame.file import Unreadable
from tether.judge import Judged
from tether.model import Judgement, Verdict
from tether.reference import Answer, Lookup, Reference
from tether.session import references
from tether.session.reader import Reader
from tether.session.references import Candidate, Key
from tether.session.roots import Roots
from tether.session.schema import RecordError
from tether.session.wanted import Put, Wanted, at_once
from tether.session.writing import Writing

_log = logging.getLogger(__name__)

_MOST, _MOST_BYTES = 4, 200_000_000  # pixels in memory: of so many frames, of so many bytes
_FIT = frozenset({Verdict.SHARP, Verdict.BORDERLINE})


class ReferenceFrames:
    """Reads the record for each frame, and a reference's file once; any worker may ask.

    A reference whose file is gone, saved anew or unreadable is left aside until its frame changes
    in the record, and the sharpest so far takes its place. What a worker's question leaves to be
    written goes to `put`.
    """

    def __init__(self, roots: Roots, record: Writing, put: Put = at_once) -> None:
        self._roots, self._record, self._put = roots, record, put
        self._reader = Reader(roots.home)
        self._lock, self._loading = threading.Lock(), threading.Lock()
        self._held: OrderedDict[bytes, Reference] = OrderedDict()
        self._unfit: set[tuple[int, int]] = set()

    def lookup(self, path: Path, setup: int | None = None, camera: str | None = None) -> Lookup:
        """Return what the judge asks for the reference of one frame.

        Parameters
        ----------
        path
            The frame's file: it is not measured against itself.
        setup, camera
            Its setup's id, and whose it is where there are several cameras.
        """
        below = self._roots.below(path)
        return lambda exposure: self._answer(below, Key.of(setup, camera, exposure))

    def hold(self, judged: Judged) -> None:
        """Keep the pixels of a frame that may become the sharpest so far: they are here now."""
        if judged.pixels is not None and judged.digest and _may_be_sharpest(judged.judgement):
            with self._lock:
                self._hold(judged.digest, judged.pixels)

    def taken(self, frame: Judgement, row: int, setup: int | None = None) -> None:
        """Take in a frame that was recorded: it may be the sharpest so far, or not any more.

        `row` is its id in the record, and `setup` its setup's.
        """
        try:
            if frame.verdict not in _FIT:
                with self._lock:
                    kept = self._reader.kept_as_reference(row)
                if kept:
                    references.drop(self._record, row)
            elif _may_be_sharpest(frame):
                key = Key.of(setup, frame.camera, frame.exposure)
                there = references.sharpest_so_far(self._candidates(key, named=True))
                may = self._may_give_way(frame)
                if there is None or there.number in may:
                    references.keep(self._record, key, row, may)
        except RecordError as problem:
            _log.info("%s", problem)  # a later frame becomes the reference

    def close(self) -> None:
        """Let go of the record and of all pixels."""
        with self._lock:
            self._reader.close()
            self._held.clear()

    def _answer(self, below: Path, key: Key) -> Answer:
        note = ""
        for one in chain.from_iterable(self._candidates(key, named=n) for n in (True, False)):
            if self._is_unfit(one):
                continue
            if one.path == below:
                return Answer(None, note)
            try:
                found = self._pixels(one)
            except (Unreadable, MemoryError) as problem:
                if not self._roots.there(self._roots.home / one.path):
                    return Answer(None)  # it may come back, and the reference with it
                why = str(problem) or "not enough memory to decode it"
                note = f"the reference {one.name} is left aside: {why}; the sharpest so far instead"
                with self._lock:
                    self._unfit.add((one.number, one.revision))
                continue
            if not one.named:
                self._put(Wanted(partial(self._keep, key, one)))
            return Answer(found, note)
        return Answer(None, note)

    def _candidates(self, key: Key, *, named: bool) -> list[Candidate]:
        with self._lock:
            try:
                return self._reader.reference_candidates(key, named=named)
            except (RecordError, ValueError, KeyError, TypeError) as problem:
                _log.info("no reference: %s", problem)
                return []

    def _pixels(self, one: Candidate) -> Reference:
        digest = one.digest or b""
        with self._loading:  # the second of two that want it finds it here
            with self._lock:
                held = self._held.get(digest)
            if held is None:
                held = _read(self._roots, one)
            found = held
            if (held.number, held.frame) != (one.number, one.name):
                found = replace(held, number=one.number, frame=one.name)
            with self._lock:
                self._hold(digest, found)
            return found

    def _hold(self, digest: bytes, one: Reference) -> None:
        self._held[digest] = one
        self._held.move_to_end(digest)
        while len(self._held) > 1 and (
            len(self._held) > _MOST
            or sum(held.luma.nbytes for held in self._held.values()) > _MOST_BYTES
        ):
            self._held.popitem(last=False)

    def _keep(self, key: Key, one: Candidate) -> None:
        try:
            references.keep(self._record, key, one.number, self._all_unfit())
        except RecordError as problem:
            _log.info("%s", problem)  # it is found anew for the next frame

    def _may_give_way(self, frame: Judgement) -> frozenset[int]:
        """Ids of frames in whose place this one may be the sharpest."""
        unfit = self._all_unfit()
        if frame.against is not None and frame.against.number is not None:
            unfit |= {frame.against.number}
        return unfit

    def _is_unfit(self, one: Candidate) -> bool:
        with self._lock:
            return (one.number, one.revision) in self._unfit

    def _all_unfit(self) -> frozenset[int]:
        with self._lock:
            return frozenset(number for number, _ in self._unfit)


def _may_be_sharpest(frame: Judgement) -> bool:
    """Whether a frame had nothing to be measured against, or is surely sharper than that."""
    if frame.verdict not in _FIT:
        return False
    interval = frame.against.ratio_95 if frame.against is not None else None
    return frame.against is None or (interval is not None and interval[1] < 1)


def _read(roots: Roots, one: Candidate) -> Reference:
    path = roots.home / one.path
    data = file.read(path, roots.within(path)).data
    # Of a frame of an older record no digest is known.
    if one.digest is not None and file.digest(data) != one.digest:
        raise Unreadable("it was saved anew since it was judged")
    found = picture.read(data, path)
    return Reference(
        found.luma, found.tags.curve, one.name, one.number, area=one.area, eyes=one.eyes
    )
