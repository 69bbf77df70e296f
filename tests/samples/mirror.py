"""The Debian mirrors that a machine's package client is set up with."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import urlsplit

_SOURCES = Path("/etc/apt")
_KEYRING = Path("/usr/share/keyrings/debian-archive-keyring.gpg")
# One line a source (sources.list) or a field of a stanza (deb822).
_ADDRESS = re.compile(r"^(?:deb(?:-src)?\s+(?:\[[^\]]*\]\s+)?|URIs:.*?\s)(\S+://\S+)", re.MULTILINE)


def mirrors(folder: Path = _SOURCES, keyring: Path = _KEYRING) -> list[str]:
    """Addresses of the main archive, each once, with the option that names its keys if it must."""
    files = [folder / "sources.list", *sorted((folder / "sources.list.d").glob("*"))]
    found = {
        address.rstrip("/")
        for path in files
        if path.is_file()
        for address in _ADDRESS.findall(path.read_text(encoding="utf-8", errors="replace"))
        if urlsplit(address).path.rstrip("/").endswith("/debian")
    }
    option = f"[signed-by={keyring}] " if keyring.is_file() else ""
    return [option + address for address in sorted(found)]
