"""Workers ask for references side by side, and write nothing themselves."""

from __future__ import annotations

import sys
import threading
from dataclasses import replace
from pathlib import Path

from tests.pictures import jpeg, portrait, write
from tests.session.made import entry
from tether.frame import file
from tether.model import Judgement
from tether.session.reader import Reader
from tether.session.record import Record
from tether.session.reference_frames import ReferenceFrames
from tether.session.references import Key
from tether.session.roots import Roots
from tether.session.wanted import Wanted

SETUPS = 120
EACH = 5


def damaged(folder: Path) -> Judgement:
    """A record of frames whose files were damaged since, of many setups; one of its judgements."""
    record = Record(folder)
    for setup in range(SETUPS):
        for number in range(EACH):
            one = entry(folder, f"bowl-{setup}-{number}")
            write(one.judgement.file, b"\xff\xd8 no more than a beginning")
            digest = file.digest(one.judgement.file.read_bytes())
            record.add(replace(one, digest=digest, setup=setup))
    record.close()
    return one.judgement


def test_references_are_left_aside_while_other_threads_look_which_are(folder: Path) -> None:
    sharp = damaged(folder)
    references = ReferenceFrames(Roots(folder), Record(folder))
    problems: list[BaseException] = []
    asked = threading.Barrier(3)
    ended = threading.Event()

    def asking(setups: range) -> None:
        asked.wait()
        for setup in setups:
            try:
                references.lookup(folder / "new.jpg", setup)(sharp.exposure)
            except BaseException as problem:
                problems.append(problem)

    def taking_in() -> None:
        asked.wait()
        while not ended.is_set():
            try:
                references.taken(sharp, 1, SETUPS + 1)
            except BaseException as problem:
                problems.append(problem)

    threads = [
        threading.Thread(target=asking, args=(range(0, SETUPS, 2),)),
        threading.Thread(target=asking, args=(range(1, SETUPS, 2),)),
    ]
    watch = threading.Thread(target=taking_in)
    often = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        for thread in (*threads, watch):
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        ended.set()
        watch.join()
        sys.setswitchinterval(often)
        references.close()
    assert problems == []


def test_who_asks_writes_nothing_and_leaves_it_to_be_written(folder: Path) -> None:
    record = Record(folder)
    content = jpeg(portrait())
    one = entry(folder, "bowl-1")
    write(one.judgement.file, content)
    record.add(replace(one, digest=file.digest(content)))
    wanted: list[Wanted] = []
    references = ReferenceFrames(Roots(folder), record, wanted.append)
    exposure = one.judgement.exposure
    answer = references.lookup(folder / "new.jpg")(exposure)
    assert answer.reference is not None and answer.reference.frame == "bowl-1"
    reader, key = Reader(folder), Key.of(None, None, exposure)
    assert reader.reference_candidates(key, named=True) == []
    for write_now in wanted:
        write_now.write()
    assert [one.name for one in reader.reference_candidates(key, named=True)] == ["bowl-1"]
    references.close()
    record.close()
