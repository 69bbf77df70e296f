"""The program's own reading of a file's bytes, in one place for all who hold it to another's."""

from __future__ import annotations

from tether.frame import tags

# Of a picture whose size does not matter to what is asked.
SIZE = (6000, 4000)


def read(data: bytes, size: tuple[int, int] = SIZE) -> tags.Tags:
    """Read the tags of a picture of this size, px."""
    return tags.read(data, *size)
