"""The sources of a watch: its folders, and the cameras that fill one of them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from tether.arrivals.folder import FolderSource
from tether.arrivals.joined import Joined
from tether.arrivals.named import Named
from tether.arrivals.source import Source
from tether.commands.cameras import Tethered
from tether.session.roots import Roots
from tether.settings import Settings


def sources(roots: Roots, cameras: Sequence[Tethered], settings: Settings) -> Source:
    """Return all of them as one; each says who it is where there are several of its kind."""
    polling = settings.watch.polling
    folders = [one for one in roots.origins if one is roots.own or one.within != roots.home]
    found: list[Source] = [
        Named(FolderSource(one.folder, polling=polling), one.camera or "") for one in folders
    ]
    # A camera without a name fills the session's own folder: it is known by that one's.
    found += [
        Named(_camera(roots.home, one, settings), one.name or roots.own.camera or "")
        for one in cameras
    ]
    return Joined(found)


def _camera(home: Path, camera: Tethered, settings: Settings) -> Source:
    from tether.arrivals.camera.source import CameraSource
    from tether.session.fetched import Fetched

    return CameraSource(
        home / camera.name,
        camera.which,
        Fetched(home, camera.name),
        keep=settings.camera.keep_on_card,
        earlier=settings.camera.fetch_earlier,
        name=camera.name,
    )
