"""XMP for tests, written out as other programs write it."""

from __future__ import annotations

_BEGIN = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
    '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
    'xmlns:crs="http://ns.adobe.com/camera-raw-settings/1.0/" '
    'xmlns:tiff="http://ns.adobe.com/tiff/1.0/" '
    'xmlns:mwg-rs="http://www.metadataworkinggroup.com/schemas/regions/" '
    'xmlns:stArea="http://ns.adobe.com/xmp/sType/Area#" '
    'xmlns:stDim="http://ns.adobe.com/xap/1.0/sType/Dimensions#" {more}>'
)
_END = "</rdf:Description></rdf:RDF></x:xmpmeta>"


def document(body: str = "", more: str = "", before: str = "") -> bytes:
    """A whole XMP document: elements, attributes of the description, what stands before it."""
    return (before + _BEGIN.format(more=more) + body + _END).encode()


def region(kind: str, area: str, usage: str = "") -> str:
    """One region; `area` as "x=0.3 y=0.4 w=0.1 h=0.2"."""
    told = "".join(' stArea:{}="{}"'.format(*one.split("=")) for one in area.split())
    used = f' mwg-rs:FocusUsage="{usage}"' if usage else ""
    return (
        f'<rdf:li><rdf:Description mwg-rs:Type="{kind}"{used}>'
        f'<mwg-rs:Area{told} stArea:unit="normalized"/></rdf:Description></rdf:li>'
    )


def regions(*each: str, size: tuple[int, int] | None = (4000, 3000)) -> bytes:
    """A document with these regions, written for a frame of this size."""
    applied = ""
    if size:
        applied = (
            f'<mwg-rs:AppliedToDimensions stDim:w="{size[0]}" stDim:h="{size[1]}" '
            'stDim:unit="pixel"/>'
        )
    return document(
        f'<mwg-rs:Regions rdf:parseType="Resource">{applied}<mwg-rs:RegionList><rdf:Bag>'
        f"{''.join(each)}</rdf:Bag></mwg-rs:RegionList></mwg-rs:Regions>"
    )


def embedded(jpeg: bytes, xmp: bytes) -> bytes:
    """The JPEG with this XMP in a segment of its own (XMP, part 3, 1.1.3)."""
    body = b"http://ns.adobe.com/xap/1.0/\0" + xmp
    return jpeg[:2] + b"\xff\xe1" + (len(body) + 2).to_bytes(2, "big") + body + jpeg[2:]


FOCUS_REGION = regions(region("Focus", "x=0.3 y=0.4 w=0.1 h=0.2", "EvaluatedUsed"))
