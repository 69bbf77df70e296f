"""Packets of PTP over TCP/IP (CIPA DC-005): a length, a type, and what the type says."""

from __future__ import annotations

import socket
import struct
from enum import IntEnum
from typing import NamedTuple

VERSION = 0x00010000
_LARGEST = 1 << 16


class Type(IntEnum):
    """Types of packets."""

    INIT_COMMAND_REQUEST = 1
    INIT_COMMAND_ACK = 2
    INIT_EVENT_REQUEST = 3
    INIT_EVENT_ACK = 4
    INIT_FAIL = 5
    OPERATION_REQUEST = 6
    OPERATION_RESPONSE = 7
    EVENT = 8
    START_DATA = 9
    DATA = 10
    CANCEL = 11
    END_DATA = 12
    PROBE_REQUEST = 13
    PROBE_RESPONSE = 14


class Request(NamedTuple):
    """An operation that is asked for."""

    operation: int
    transaction: int
    parameters: tuple[int, ...]


def pack(kind: Type, payload: bytes = b"") -> bytes:
    """Return a packet."""
    return struct.pack("<II", 8 + len(payload), kind) + payload


def receive(connection: socket.socket) -> tuple[int, bytes]:
    """Return the next packet's type and payload.

    Raises
    ------
    EOFError, OSError, ValueError
        The other side is gone, or sends what is no packet.
    """
    length, kind = struct.unpack("<II", _exactly(connection, 8))
    if not 8 <= length <= _LARGEST:
        raise ValueError(f"a packet of {length} bytes")
    return kind, _exactly(connection, length - 8)


def request(payload: bytes) -> Request:
    """Return what an operation request asks."""
    _, operation, transaction = struct.unpack_from("<IHI", payload)
    count = (len(payload) - 10) // 4
    return Request(operation, transaction, struct.unpack_from(f"<{count}I", payload, 10))


def response(code: int, transaction: int, parameters: tuple[int, ...] = ()) -> bytes:
    """Return an operation response."""
    packed = struct.pack(f"<HI{len(parameters)}I", code, transaction, *parameters)
    return pack(Type.OPERATION_RESPONSE, packed)


def event(code: int, parameters: tuple[int, ...]) -> bytes:
    """Return an event; it belongs to no transaction."""
    return pack(Type.EVENT, struct.pack(f"<HI{len(parameters)}I", code, 0, *parameters))


def start_data(transaction: int, total: int) -> bytes:
    """Return the packet that says how much will come."""
    return pack(Type.START_DATA, struct.pack("<IQ", transaction, total))


def data(transaction: int, part: bytes | memoryview, *, last: bool) -> bytes:
    """Return a packet of data."""
    kind = Type.END_DATA if last else Type.DATA
    return pack(kind, struct.pack("<I", transaction) + bytes(part))


def init_ack(number: int, guid: bytes, name: str) -> bytes:
    """Return the answer to whoever wants a command connection."""
    coded = (name + "\0").encode("utf-16-le")
    payload = struct.pack("<I", number) + guid + coded + struct.pack("<I", VERSION)
    return pack(Type.INIT_COMMAND_ACK, payload)


def _exactly(connection: socket.socket, count: int) -> bytes:
    found = bytearray()
    while len(found) < count:
        part = connection.recv(count - len(found))
        if not part:
            raise EOFError
        found += part
    return bytes(found)
