"""One initiator's command connection: its operations, answered from the card."""

from __future__ import annotations

import socket
import struct
import threading
from collections.abc import Callable

from mocks.camera import datasets, packets
from mocks.camera.card import Card, Thing
from mocks.camera.codes import STORE, Format, Operation, Property, Response
from mocks.camera.faults import Faults
from mocks.camera.packets import Request
from mocks.camera.properties import Properties

_PART = 1 << 18
_FREE = 32 << 30

Answer = tuple[Response, tuple[int, ...], bytes | memoryview | None]


class Cut(Exception):
    """The connection is to be cut here."""


class Session:
    """Answers one connection until it ends.

    Parameters
    ----------
    connection
        The command connection, past its handshake.
    card, faults
        The camera's.
    identity
        Model and serial number.
    operations
        What the camera offers.
    press
        What InitiateCapture does.
    ended
        Set when the camera goes away.
    properties
        What the camera is set to.
    heard
        Is told the code of each operation that is asked for.
    """

    def __init__(
        self,
        connection: socket.socket,
        card: Card,
        faults: Faults,
        identity: tuple[str, str],
        operations: frozenset[Operation],
        press: Callable[[], object],
        ended: threading.Event,
        properties: Properties,
        heard: Callable[[int], object],
    ) -> None:
        self._connection = connection
        self._card = card
        self._faults = faults
        self._identity = identity
        self._operations = operations
        self._press = press
        self._ended = ended
        self._properties = properties
        self._heard = heard

    def serve(self) -> None:
        """Answer until the other side goes.

        Raises
        ------
        Cut, OSError, EOFError, ValueError
            The connection is over.
        """
        while True:
            kind, payload = packets.receive(self._connection)
            if self._faults.silent:
                continue
            if kind == packets.Type.PROBE_REQUEST:
                self._connection.sendall(packets.pack(packets.Type.PROBE_RESPONSE))
            if kind != packets.Type.OPERATION_REQUEST:
                continue
            asked = packets.request(payload)
            self._heard(asked.operation)
            code, parameters, data = self._answer(asked)
            if data is not None:
                self._send(asked, data)
            self._connection.sendall(packets.response(code, asked.transaction, parameters))
            if asked.operation == Operation.INITIATE_CAPTURE and code is Response.OK:
                self._press()

    def _answer(self, asked: Request) -> Answer:
        wrong = self._faults.answer(asked.operation)
        if wrong is not None:
            return Response(wrong), (), None
        if asked.operation not in self._operations:
            return Response.OPERATION_NOT_SUPPORTED, (), None
        first = asked.parameters[0] if asked.parameters else 0
        match asked.operation:
            case Operation.GET_DEVICE_INFO:
                return _ok(
                    datasets.device_info(
                        *self._identity, sorted(self._operations), self._properties
                    )
                )
            case Operation.GET_STORAGE_IDS:
                return _ok(datasets.array("I", [STORE]))
            case Operation.GET_STORAGE_INFO if first == STORE:
                return _ok(datasets.storage_info(_FREE - self._card.used))
            case Operation.GET_STORAGE_INFO:
                return Response.INVALID_STORAGE_ID, (), None
            case Operation.GET_DEVICE_PROP_DESC | Operation.GET_DEVICE_PROP_VALUE:
                return self._of_a_property(asked.operation, first)
            case Operation.SET_DEVICE_PROP_VALUE:
                return Response.OPERATION_NOT_SUPPORTED, (), None
            case Operation.GET_NUM_OBJECTS:
                return Response.OK, (len(self._handles(asked)),), None
            case Operation.GET_OBJECT_HANDLES:
                return _ok(datasets.array("I", self._handles(asked)))
            case Operation.OPEN_SESSION | Operation.CLOSE_SESSION | Operation.INITIATE_CAPTURE:
                return Response.OK, (), None
        thing = self._card.get(first)
        if thing is None or first in self._faults.denied:
            return Response.INVALID_OBJECT_HANDLE, (), None
        return self._of_a_thing(asked, thing)

    def _of_a_property(self, operation: int, code: int) -> Answer:
        if code not in self._properties:
            return Response.DEVICE_PROP_NOT_SUPPORTED, (), None
        known = Property(code)
        if operation == Operation.GET_DEVICE_PROP_DESC:
            return _ok(self._properties.described(known))
        return _ok(self._properties.value(known))

    def _of_a_thing(self, asked: Request, thing: Thing) -> Answer:
        match asked.operation:
            case Operation.GET_OBJECT_INFO:
                return _ok(datasets.object_info(thing))
            case Operation.DELETE_OBJECT:
                self._card.remove(thing.handle)
                return Response.OK, (), None
        if thing.format is Format.ASSOCIATION or thing.handle in self._faults.denied_content:
            return Response.INVALID_OBJECT_HANDLE, (), None
        view = memoryview(thing.content)
        if asked.operation == Operation.GET_PARTIAL_OBJECT:
            offset, count = asked.parameters[1:3]
            view = view[offset : offset + count]
            return Response.OK, (len(view),), view
        return _ok(view)

    def _handles(self, asked: Request) -> list[int]:
        _, kind, parent = (*asked.parameters, 0, 0, 0)[:3]
        found = self._card.below(parent)
        if not kind:
            return found
        things = [self._card.get(handle) for handle in found]
        return [thing.handle for thing in things if thing and thing.format == kind]

    def _send(self, asked: Request, data: bytes | memoryview) -> None:
        picture = asked.operation in (Operation.GET_OBJECT, Operation.GET_PARTIAL_OBJECT)
        before = asked.parameters[1] if asked.operation == Operation.GET_PARTIAL_OBJECT else 0
        self._connection.sendall(packets.start_data(asked.transaction, len(data)))
        sent = 0
        while True:
            size = min(_PART, len(data) - sent)
            if picture:
                size, cut, wait = self._faults.part(before + sent, size)
                if wait and self._ended.wait(wait):
                    raise Cut
                if cut:
                    # The header promises more than follows: the wire is cut within a packet.
                    header = struct.pack("<III", 12 + _PART, packets.Type.DATA, asked.transaction)
                    self._connection.sendall(header + bytes(data[sent : sent + size]))
                    raise Cut
            last = sent + size >= len(data)
            part = data[sent : sent + size]
            self._connection.sendall(packets.data(asked.transaction, part, last=last))
            sent += size
            if last:
                return


def _ok(data: bytes | memoryview) -> Answer:
    return Response.OK, (), data
