"""Setups that could be taken for one another: by a name, a code, or a code that is a name."""

from __future__ import annotations

from collections.abc import Iterable

from tether.model import Setup
from tether.session.shot_list.problems import Problems, shown
from tether.session.shot_list.spelling import folded


def refuse_alike(setups: Iterable[tuple[str, Setup]], problems: Problems) -> None:
    """Note every setup that has another's name or code, however it is spelt.

    Parameters
    ----------
    setups
        Each with where it stands in the file.
    problems
        Is told of each.
    """
    listed = [(where, one, folded(one.name), folded(one.code)) for where, one in setups]
    names: dict[str, str] = {}
    codes: dict[str, str] = {}
    for where, one, name, code in listed:
        if name in names:
            problems.add(where, f"name {shown(one.name)} is that of {names[name]}, too")
        if code and code in codes:
            problems.add(where, f"code {shown(one.code)} is that of {codes[code]}, too")
        names.setdefault(name, where)
        if code:
            codes.setdefault(code, where)
    for where, one, name, code in listed:
        if code and code != name and code in names:
            problems.add(where, f"code {shown(one.code)} is the name of {names[code]}")
