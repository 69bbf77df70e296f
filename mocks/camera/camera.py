"""The camera: it listens on loopback, lets initiators in, and presses its own shutter."""

from __future__ import annotations

import socket
import struct
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Self

from mocks.camera import packets
from mocks.camera.card import Card
from mocks.camera.codes import STORE, Event, Operation, Property
from mocks.camera.faults import Faults
from mocks.camera.properties import Properties, Value
from mocks.camera.session import Cut, Session

PORT = 15740
_GUID = b"mocks.camera at 1"
_OVER = struct.pack("ii", 1, 0)  # linger for no time: a close resets, as a pulled cable does not


class Camera:
    """A camera on the network that can do nothing but PTP, and do it wrong when told to.

    Parameters
    ----------
    port
        TCP port on loopback; 0 for any that is free (`port` then says which).
    model, serial
        What it calls itself.
    without
        Operations that it does not offer.
    on_capture
        What its shutter does when an initiator asks for a picture.
    ahead
        How far its clock is ahead of this computer's.

    Attributes
    ----------
    asked
        Codes of all operations that were ever asked for, in their order.
    """

    def __init__(
        self,
        port: int = 0,
        model: str = "Studio One",
        serial: str = "KS-0042",
        without: frozenset[Operation] = frozenset(),
        on_capture: Callable[[], object] = lambda: None,
        ahead: timedelta = timedelta(),
    ) -> None:
        self.card = Card()
        self.faults = Faults()
        self.properties = Properties()
        self.asked: list[int] = []
        self.port = port
        self.ahead = ahead
        self._identity = (model, serial)
        self._operations = frozenset(Operation) - without
        self._on_capture = on_capture
        self._listener: socket.socket | None = None
        self._ended = threading.Event()
        self._lock = threading.Lock()
        self._connections: set[socket.socket] = set()
        self._events: list[socket.socket] = []

    @property
    def address(self) -> str:
        """What to call it by on a command line."""
        return f"ptpip:127.0.0.1:{self.port}"

    @property
    def ahead(self) -> timedelta:
        """How far its clock is ahead of this computer's."""
        return self.properties.ahead

    @ahead.setter
    def ahead(self, ahead: timedelta) -> None:
        self.properties.ahead = ahead

    @property
    def connected(self) -> bool:
        """Whether somebody hears its events."""
        return bool(self._events)

    def __enter__(self) -> Self:
        self.come()
        return self

    def __exit__(self, *_: object) -> None:
        self.leave()

    def come(self) -> None:
        """Switch on, at the same address as before."""
        listener = socket.create_server(("127.0.0.1", self.port))
        self.port = listener.getsockname()[1]
        self._ended = threading.Event()
        self._listener = listener
        threading.Thread(target=self._accept, args=(listener,), daemon=True).start()

    def leave(self) -> None:
        """Switch off: every connection ends and nobody is let in."""
        self._ended.set()
        listener, self._listener = self._listener, None
        if listener is not None:
            with suppress(OSError):
                listener.shutdown(socket.SHUT_RDWR)
            listener.close()
        self.drop()

    def drop(self, *, reset: bool = False) -> None:
        """End every connection at once; whoever comes back is let in."""
        with self._lock:
            connections, self._connections, self._events = self._connections, set(), []
        for one in connections:
            with suppress(OSError):
                if reset:
                    one.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _OVER)
                else:
                    one.shutdown(socket.SHUT_RDWR)
            one.close()

    def press(self, files: Mapping[str, bytes], taken: datetime | None = None) -> list[int]:
        """Take a picture: store its files, announce each, and say that the capture is complete."""
        taken = taken or datetime.now() + self.ahead
        handles = [self.card.add(name, content, taken=taken) for name, content in files.items()]
        for handle in handles:
            self.tell(Event.OBJECT_ADDED, handle)
        self.tell(Event.CAPTURE_COMPLETE)
        return handles

    def set(self, code: Property, value: Value) -> None:
        """Turn a dial: the property holds the value, and whoever listens is told of it."""
        self.properties[code] = value
        self.tell(Event.DEVICE_PROP_CHANGED, code)

    def card_full(self) -> None:
        """Tell that nothing more fits on the card."""
        self.tell(Event.STORE_FULL, STORE)

    def tell(self, code: Event, *parameters: int) -> None:
        """Send an event to whoever listens; with nobody there it is lost, as on a real camera."""
        with self._lock:
            for listening in [] if self.faults.silent or self.faults.mute else self._events:
                with suppress(OSError):
                    listening.sendall(packets.event(code, parameters))

    def _accept(self, listener: socket.socket) -> None:
        while True:
            try:
                connection, _ = listener.accept()
            except OSError:
                return
            with self._lock:
                self._connections.add(connection)
            threading.Thread(target=self._greet, args=(connection,), daemon=True).start()

    def _greet(self, connection: socket.socket) -> None:
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        try:
            kind, _ = packets.receive(connection)
            if self.faults.refuse:
                connection.sendall(packets.pack(packets.Type.INIT_FAIL, struct.pack("<I", 1)))
            elif kind == packets.Type.INIT_COMMAND_REQUEST:
                connection.sendall(packets.init_ack(1, _GUID[:16], self._identity[0]))
                self._session(connection).serve()
            elif kind == packets.Type.INIT_EVENT_REQUEST:
                with self._lock:  # no event before the answer, and none lost after it
                    connection.sendall(packets.pack(packets.Type.INIT_EVENT_ACK))
                    self._events.append(connection)
                while True:
                    packets.receive(connection)
        except Cut:
            self.drop()
        except (OSError, EOFError, ValueError, struct.error):
            pass
        finally:
            with self._lock:
                self._connections.discard(connection)
                if connection in self._events:
                    self._events.remove(connection)
            connection.close()

    def _session(self, connection: socket.socket) -> Session:
        return Session(
            connection,
            self.card,
            self.faults,
            self._identity,
            self._operations,
            self._on_capture,
            self._ended,
            self.properties,
            self.asked.append,
        )
