"""The part of a picture's file that can hold metadata, so that no pixels are passed around."""

from __future__ import annotations

# Exif fills one segment of 64 kB; XMP that is longer goes on in further ones.
_LARGEST_HEADER = 8_000_000
# Other kinds have their metadata anywhere; past this nothing is looked for.
LARGEST_BYTES = 256_000_000

_APP1, _SOS, _EOI = 0xE1, 0xDA, 0xD9
# Start of frame (ITU-T T.81, table B.1): it holds the size. C4, C8 and CC are other things.
_SOF = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset({0x01, *range(0xD0, 0xD9)})


def header(data: bytes) -> bytes:
    """Return what a metadata reader needs of a picture's bytes.

    Of a JPEG the size, Exif and XMP (segments before the first scan, ITU-T T.81 B.1.1), as a JPEG
    without a scan. Of another kind all of it, up to `LARGEST_BYTES`.
    """
    if not data.startswith(b"\xff\xd8"):
        return data[:LARGEST_BYTES]
    kept = [data[:2]]
    at = 2
    total = 0
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xFF or marker in _ALONE:
            at += 1 if marker == 0xFF else 2
            continue
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if marker in {_SOS, _EOI} or end < at + 4 or total > _LARGEST_HEADER:
            break
        if marker == _APP1 or marker in _SOF:
            kept.append(data[at:end])
            total += end - at
        at = end
    return b"".join([*kept, bytes((0xFF, _EOI))])
