"""Whatever happens to files in whatever order, the record says the same as `tether check` after.

`python -m tests.session.any_order [--sequences 1000] [--seed 0] [--jobs 2]` runs many sequences,
some two seconds each, and prints those after which it does not. They come in batches of seven, each
with a seed of its own.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import ClassVar

from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    precondition,
    rule,
    run_state_machine_as_test,
)

from tests.session import oracle
from tests.session.apart import Apart
from tests.session.disk import Disk, How

# From its tenth example on, Hypothesis makes five of six by changing others a little, which
# finds less here than ones that have nothing in common.
BATCH = 7

_HURRIED = settings(
    stateful_step_count=10,
    max_examples=BATCH,
    deadline=None,
    database=None,
    phases=[Phase.generate],  # a sequence takes seconds to fail: too long to look for a shorter one
    suppress_health_check=list(HealthCheck),
    print_blob=False,
)

nth = st.integers(0, 7)
content = st.sampled_from(range(6))
raw_content = st.sampled_from(range(4))
how: st.SearchStrategy[How] = st.sampled_from(("by rename", "at once", "in pieces"))
stem = st.sampled_from(
    [f"{place}{name}" for place in ("", "set one/") for name in ("bowl", "Bowl", "cup", "plate")]
)
suffix = st.sampled_from((".jpg", ".JPG"))
raw_suffix = st.sampled_from((".dng", ".nef", ".CR3"))


class AnyOrder(RuleBasedStateMachine):
    """A watch on a folder, and people and programs at work there."""

    found: ClassVar[list[str]]
    """What was wrong after each sequence, and what led to it."""

    def __init__(self) -> None:
        super().__init__()
        self.place = Path(tempfile.mkdtemp(prefix="tether-any-order-"))
        for name in ("hot folder", "elsewhere"):
            (self.place / name).mkdir()
        self.disk = Disk(self.place / "hot folder", self.place / "elsewhere")
        (self.place / "settings.toml").write_text(oracle.QUICK)
        self.watch = Apart(self.disk.folder, self.place / "log", self.place / "settings.toml")
        self.steps: list[str] = []
        self.wrong = False
        self.begun = time.monotonic()

    @initialize(before=st.lists(st.tuples(stem, st.booleans(), raw_content), max_size=3))
    def first_start(self, before: list[tuple[str, bool, int]]) -> None:
        for name, raw, one in before:
            path = Path(f"{name}{'.dng' if raw else '.jpg'}")
            self.disk.write(path, (oracle.raws() if raw else oracle.pictures())[one], "at once")
        self.disk.pass_over()
        self._did("there before", *self.disk.pictures())
        self.watch.start(seen=True)

    # Files come.

    @rule(stem=stem, suffix=suffix, one=content, how=how)
    def picture_comes(self, stem: str, suffix: str, one: int, how: How) -> None:
        self._did("a picture comes", stem + suffix, one, how)
        self.disk.write(Path(stem + suffix), oracle.pictures()[one], how)

    @rule(stem=stem, suffix=raw_suffix, one=raw_content, how=how)
    def raw_comes(self, stem: str, suffix: str, one: int, how: How) -> None:
        self._did("a raw comes", stem + suffix, one, how)
        self.disk.write(Path(stem + suffix), oracle.raws()[one], how)

    @rule(stem=stem, one=raw_content, suffix=raw_suffix, raw_first=st.booleans())
    def pair_comes(self, stem: str, one: int, suffix: str, raw_first: bool) -> None:
        files = [(".jpg", oracle.pictures()[one]), (suffix, oracle.raws()[one])]
        files = files[::-1] if raw_first else files
        self._did("a pair comes", *(stem + suffix for suffix, _ in files), one)
        for suffix, data in files:
            self.disk.write(Path(stem + suffix), data, "by rename")

    @rule(
        ones=st.lists(content, min_size=1, max_size=4),
        names=st.sampled_from((("capture", "shot"), ("capture", "next", "shot"))),
        pause_s=st.sampled_from((0.0, 0.1)),
    )
    def shoot(self, ones: list[int], names: tuple[str, ...], pause_s: float) -> None:
        for one in ones:
            name = self.disk.shoot(oracle.pictures()[one], names, pause_s)
            habit = " is renamed ".join(f"{between}.jpg" for between in names[:-1])
            self._did(habit, "is renamed", name, one, f"after {pause_s} s")

    # They get other names, and go to other places.

    @precondition(lambda self: self.disk.pictures())
    @rule(one=nth, stem=stem, over=st.booleans(), pause_s=st.sampled_from((0.0, 0.1)))
    def rename(self, one: int, stem: str, over: bool, pause_s: float) -> None:
        old = self._of(self.disk.pictures(), one)
        new = Path(stem + old.suffix)
        if over:
            between = old.with_name(f"tmp{old.suffix}")
            self._did("rename", old, "to", between, "and after", pause_s, "s")
            self.disk.rename(old, between)
            time.sleep(pause_s)
            old = between
        self._did("rename", old, "to", new, "that is there" if self._there(new) else "")
        self.disk.rename(old, new)

    @precondition(lambda self: len(self.disk.pictures(raw=False)) > 1)
    @rule(one=nth, other=nth)
    def swap(self, one: int, other: int) -> None:
        pictures = self.disk.pictures(raw=False)
        first = pictures.pop(one % len(pictures))
        second = self._of(pictures, other)
        self._did("swap", first, second)
        self.disk.swap(first, second)

    @precondition(lambda self: self._there(Path("set one")))
    @rule()
    def rename_folder(self) -> None:
        new = next(f"set {n}" for n in range(2, 99) if not self._there(Path(f"set {n}")))
        self._did("rename the folder 'set one' to", new)
        self.disk.rename_folder("set one", new)

    @precondition(lambda self: self.disk.pictures())
    @rule(one=nth)
    def take_out(self, one: int) -> None:
        old = self._of(self.disk.pictures(), one)
        self._did("take out", old)
        self.disk.take_out(old)

    @precondition(lambda self: self.disk.away())
    @rule(one=nth, stem=stem)
    def bring_back(self, one: int, stem: str) -> None:
        name = self._of(self.disk.away(), one)
        self._did("bring back", name, "as", stem + name.suffix)
        self.disk.bring_back(name, Path(stem + name.suffix))

    @precondition(lambda self: self.disk.pictures())
    @rule(one=nth)
    def delete(self, one: int) -> None:
        path = self._of(self.disk.pictures(), one)
        self._did("delete", path)
        self.disk.delete(path)

    # They get other content, or a second name.

    @precondition(lambda self: self.disk.pictures(raw=False))
    @rule(one=nth, other=content, how=st.one_of(how, st.just("by another of the same time")))
    def overwrite(self, one: int, other: int, how: How) -> None:
        path = self._of(self.disk.pictures(raw=False), one)
        self._did("overwrite", path, other, how)
        self.disk.write(path, oracle.pictures()[other], how)

    @precondition(lambda self: self.disk.pictures())
    @rule(one=nth)
    def touch(self, one: int) -> None:
        path = self._of(self.disk.pictures(), one)
        self._did("touch", path)
        self.disk.touch(path)

    @precondition(lambda self: self.disk.pictures())
    @rule(one=nth, stem=stem, kind=st.sampled_from(("link", "copy", "copy with its times")))
    def double(self, one: int, stem: str, kind: str) -> None:
        path = self._of(self.disk.pictures(), one)
        new = Path(stem + path.suffix)
        if self._there(new):
            return
        self._did(kind, path, "to", new)
        if kind == "link":
            self.disk.link(path, new)
        else:
            self.disk.copy(path, new, keep_times=kind != "copy")

    # The watch is slow, stops, is killed, starts.

    @rule(read=st.booleans())
    def hold(self, read: bool) -> None:
        self._did("hold frames", "once they are read" if read else "before they are read")
        self.watch.gate.hold(read=read)

    @precondition(lambda self: self.watch.gate.held)
    @rule()
    def let_go(self) -> None:
        self._did("let them go")
        self.watch.gate.open()

    @rule(pause_s=st.sampled_from((0.05, 0.15, 0.3)))
    def pause(self, pause_s: float) -> None:
        self._did("wait", f"{pause_s} s")
        time.sleep(pause_s)

    @precondition(lambda self: self.watch.running)
    @rule(settled=st.booleans())
    def stop(self, settled: bool) -> None:
        if settled:
            self._settle()
        self._did("stop")
        self._stop()

    @precondition(lambda self: self.watch.running)
    @rule(settled=st.booleans())
    def kill(self, settled: bool) -> None:
        if settled:
            self._settle()
        self._did("kill")
        self.watch.kill()

    @precondition(lambda self: not self.watch.running)
    @rule()
    def start(self) -> None:
        self._did("start")
        self.watch.start()

    def teardown(self) -> None:
        # Something is on its way up where a step failed, or the sequence was found too long.
        whole = sys.exc_info()[0] is None
        try:
            if whole and not self.wrong:
                if not self.watch.running:
                    self.start()
                self._settle()
            if whole and not self.wrong:
                self._did("stop")
                self._stop()
                self._report(self._faults())
        finally:
            if self.watch.running:
                self.watch.kill()
            self.disk.close()
            shutil.rmtree(self.place)

    # What comes of it.

    def _settle(self) -> None:
        if self.wrong:
            return
        self._did("let it settle")
        self.watch.gate.open()
        watch = self.watch
        self._report(oracle.settle(self.disk.folder, self._faults, watch.alive, watch.arrived()))

    def _stop(self) -> None:
        status = self.watch.end()
        if status != 0:
            self._report([f"the watch ended with {status}"])

    def _faults(self) -> list[str]:
        disk = self.disk
        return oracle.faults(disk.folder, disk.passed(), disk.unclear(), disk.gone())

    def _report(self, faults: list[str]) -> None:
        if not faults or self.wrong:
            return
        self.wrong = True
        log = [line for line in self.watch.printed().splitlines() if not line.startswith("{")]
        rows = [f"  recorded: {row}" for row in oracle.recorded(self.disk.folder)]
        told = "\n".join([*self.steps, *(f"  <-- {one}" for one in faults), *rows, *log[1:][-12:]])
        self.found.append(told)

    def _did(self, *what: object) -> None:
        self.steps.append(f"  {' '.join(map(str, what))}")

    def _of(self, paths: list[Path], one: int) -> Path:
        return paths[one % len(paths)]

    def _there(self, path: Path) -> bool:
        return (self.disk.folder / path).exists()


def run(seeds: Iterable[int]) -> int:
    """Run the batches with these seeds, print what is wrong, and return after how many it is."""
    wrong: list[str] = []
    took: list[float] = []

    class Counted(AnyOrder):
        found = wrong

        def teardown(self) -> None:
            before = len(wrong)
            super().teardown()
            took.append(time.monotonic() - self.begun)
            for told in wrong[before:]:
                print(f"sequence {len(took)}, batch {batch}:\n{told}\n", flush=True)

    for batch in seeds:
        run_state_machine_as_test(seed(batch)(Counted), settings=_HURRIED)
    most = max(took)
    print(f"{len(took)} sequences in {sum(took):.0f} s, the longest in {most:.0f} s", flush=True)
    return len(wrong)


def main() -> None:
    """Run many sequences; exit with 1 if the record was not true to the folder after one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sequences", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0, help="of the first batch")
    parser.add_argument("--jobs", type=int, default=2, help="how many run at once")
    asked = parser.parse_args()
    last = asked.seed + math.ceil(asked.sequences / BATCH)
    with tempfile.TemporaryDirectory(prefix="tether-any-order-") as own:
        # Whatever whoever runs this has set for themselves does not count.
        os.environ.update(HOME=own, XDG_CONFIG_HOME=own, XDG_STATE_HOME=own)
        shares = [range(asked.seed + job, last, asked.jobs) for job in range(asked.jobs)]
        with ProcessPoolExecutor(asked.jobs, multiprocessing.get_context("spawn")) as pool:
            wrong = sum(pool.map(run, filter(None, shares)))
    print(f"after {wrong} of them the record is not true to the folder")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
