"""`tether check --explain`: draw what a verdict rests on, and tell it in the terminal."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import typer

if TYPE_CHECKING:
    from tether.judge import Judged
    from tether.model import Judgement
    from tether.settings import Settings
    from tether.sharpness.evidence import Evidence
    from tether.sharpness.measure import Pixels


def folder_for(to: Path | None) -> Path:
    """Return the folder where pictures of the evidence go: the one asked for, or where we are.

    Raises
    ------
    typer.BadParameter
        It is no folder, or one of a session, where a watch would take them for frames.
    """
    from tether.session.schema import NAME

    try:
        folder = (to or Path()).resolve(strict=True)
    except OSError:
        raise typer.BadParameter(f"{to or 'the current folder'} is not there") from None
    if not folder.is_dir():
        raise typer.BadParameter(f"{to} is no folder")
    for above in (folder, *folder.parents):
        if (above / NAME).exists():
            raise typer.BadParameter(
                f"{above} holds a session: a picture written there would be taken for a frame; "
                "name another folder with --to"
            )
    return folder


def explain(
    judged: Judged, settings: Settings, within: Path | None, folder: Path, *, as_json: bool
) -> bool:
    """Write a picture of what one verdict rests on, and print it in words.

    Parameters
    ----------
    judged
        What was judged, of a frame whose area was looked at.
    settings
        Those it was judged by.
    within
        The folder that no link may leave, as when it was judged.
    folder
        Where the picture goes.
    as_json
        Whether standard output belongs to a script: then only the path is told, elsewhere.

    Returns
    -------
    bool
        Whether a picture was written.
    """
    from tether.commands.lines import encodable
    from tether.frame.file import Unreadable
    from tether.plain import plain
    from tether.report.evidence import draw
    from tether.report.evidence_lines import evidence_lines

    judgement = judged.judgement
    out = sys.stderr if as_json else sys.stdout
    try:
        judgement, area, found = _looked_at_again(judged, settings, within)
        if not as_json:
            for said in judgement.area.why if judgement.area is not None else ():
                _say(encodable(f"                {plain(said)}", out), out)
            for line in evidence_lines(judgement, found, out.encoding or "ascii"):
                _say(f"                {line}", out)
        path = write_new(folder, Path(judgement.frame).name, draw(judgement, area, found).png)
    except (Unreadable, OSError, MemoryError) as problem:
        why = getattr(problem, "strerror", None) or str(problem) or "not enough memory"
        where = f" in {folder}" if isinstance(problem, OSError) else ""
        text = plain(f"no picture of {judgement.frame} was written{where}: {why}")
        _say(encodable(text, sys.stderr), sys.stderr)
        return False
    _say(encodable(f"                drawn in {plain(str(path))}", out), out)
    return True


def write_new(folder: Path, name: str, png: bytes) -> Path:
    """Write `NAME-evidence.png`, or `NAME-evidence-2.png` and so on where that is taken.

    Raises
    ------
    OSError
        It cannot be written; nothing is left of it then.
    """
    from tether.frame.kinds import EVIDENCE

    number = 1
    while True:
        path = folder / f"{name}{EVIDENCE}{'' if number == 1 else f'-{number}'}.png"
        try:
            file = path.open("xb")
            break
        except FileExistsError:
            number += 1
    try:
        with file:
            file.write(png)
    except OSError:
        path.unlink(missing_ok=True)
        raise
    return path


def _looked_at_again(
    judged: Judged, settings: Settings, within: Path | None
) -> tuple[Judgement, Pixels, Evidence]:
    """Read a frame once more, for what a verdict does not carry.

    That is what each source says of its area, and the area's pixels and edges.
    """
    from tether.frame import file, picture
    from tether.frame.aim import ask_all
    from tether.sharpness.cut import with_margin
    from tether.sharpness.evidence import evidence

    judgement = judged.judgement
    assert judgement.area is not None and judged.digest is not None, "it was measured"
    content = file.read(judgement.file, within)
    if file.digest(content.data) != judged.digest:
        raise file.Unreadable("the file has changed since it was judged")
    seen = picture.read(content.data, judgement.file)
    cut, inner = with_margin(seen.luma, judgement.area.rect)
    found = evidence(cut, inner, seen.tags.curve)
    answers = ask_all(seen, settings.area)
    why = tuple(
        f"{answer.source.value}{' (used)' if answer.source is judgement.area.source else ''}: "
        f"{answer.said}"
        for answer in answers
    )
    told_of = replace(judgement, area=replace(judgement.area, why=why))
    return told_of, cut[inner.y : inner.y + inner.height, inner.x : inner.x + inner.width], found


def _say(text: str, out: TextIO) -> None:
    print(text, file=out, flush=True)
