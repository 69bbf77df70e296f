"""The dashboard's keys: what each does, and which of them are shown."""

from __future__ import annotations

from textual.binding import Binding, BindingType

from tether.dashboard.parts import SHOT_LIST, Parts

_ACTIONS = (
    ("q", "leave"),
    ("ctrl+c", "interrupt"),
    ("s", "seen"),
    ("n", "newest"),
    ("f", "turn"),
    ("b", "beside"),
    ("c", "centre"),
    ("e", "enlarge"),
    ("a", "draw"),
    ("v", "invite"),
    ("g", "shot_list"),
    ("t", "next_setup"),
    ("r", "reference"),
    ("o", "overrule"),
    ("i", "pan(0, -1)"),
    ("k", "pan(0, 1)"),
    ("j", "pan(-1, 0)"),
    ("l", "pan(1, 0)"),
    ("up", "step(-1)"),
    ("down", "step(1)"),
    ("pageup", "page(-1)"),
    ("pagedown", "page(1)"),
    ("home", "place(0)"),
    ("end", "place(-1)"),
)

NAMES = frozenset(action.partition("(")[0] for _, action in _ACTIONS)
BINDINGS: list[BindingType] = [
    # The letters work with the capitals locked, too.
    Binding(f"{key},{key.upper()}" if len(key) == 1 else key, action, priority=True)
    for key, action in _ACTIONS
]


def shown(parts: Parts, *, invites: bool = False) -> list[tuple[str, str]]:
    """The keys that do something just now, each with its word; what matters most comes first.

    `invites`: a second screen can be let in.
    """
    frames, picture = parts.frames, parts.picture
    row = frames.get(parts.chart.selected)
    keys = [("q", "leave")]
    if frames.unseen:
        keys.append(("s", "seen"))
    if frames.rows and not parts.chart.following:
        keys.append(("n", "newest"))
    if parts.shots.following is not None:
        keys.append(("t", "next setup"))
    keys.append(("g", "shot list"))
    if row is not None and row.slate is None:
        keys.append(("o", "overrule"))
        if parts.detail is not None and parts.detail.chosen:
            keys.append(("r", "no reference"))
        elif row.edge_width_px is not None:
            keys.append(("r", "reference"))
    if parts.reference_turns:
        keys.append(("b", "the frame" if parts.reference_turned_up else "its reference"))
    if parts.turns:
        word = parts.next_turn
        keys.append(("f", "list" if word == SHOT_LIST else word))
    if invites:
        keys.append(("v", "second screen"))
    if frames.rows:
        keys += [("a", "draw area"), ("↑ ↓ PgUp PgDn Home End", "frame")]
    if parts.pictures.display and picture.pannable:
        keys.append(("i j k l", "pan"))
        if picture.pan != (0, 0):
            keys.append(("c", "centre"))
    if picture.graphics and parts.pictures.display:
        keys.append(("e", "1:1" if picture.zoom == 2 else "enlarge"))
    return keys
