"""Numbers of ISO 15740 (PTP) that the camera speaks, under the standard's names."""

from __future__ import annotations

from enum import IntEnum


class Operation(IntEnum):
    """What an initiator asks for."""

    GET_DEVICE_INFO = 0x1001
    OPEN_SESSION = 0x1002
    CLOSE_SESSION = 0x1003
    GET_STORAGE_IDS = 0x1004
    GET_STORAGE_INFO = 0x1005
    GET_NUM_OBJECTS = 0x1006
    GET_OBJECT_HANDLES = 0x1007
    GET_OBJECT_INFO = 0x1008
    GET_OBJECT = 0x1009
    DELETE_OBJECT = 0x100B
    INITIATE_CAPTURE = 0x100E
    GET_DEVICE_PROP_DESC = 0x1014
    GET_DEVICE_PROP_VALUE = 0x1015
    GET_PARTIAL_OBJECT = 0x101B


class Response(IntEnum):
    """How an operation ended."""

    OK = 0x2001
    GENERAL_ERROR = 0x2002
    OPERATION_NOT_SUPPORTED = 0x2005
    INVALID_STORAGE_ID = 0x2008
    INVALID_OBJECT_HANDLE = 0x2009
    DEVICE_PROP_NOT_SUPPORTED = 0x200A
    STORE_FULL = 0x200C
    DEVICE_BUSY = 0x2019


class Event(IntEnum):
    """What a camera tells unasked."""

    OBJECT_ADDED = 0x4002
    OBJECT_REMOVED = 0x4003
    OBJECT_INFO_CHANGED = 0x4007
    DEVICE_INFO_CHANGED = 0x4008
    STORE_FULL = 0x400A
    CAPTURE_COMPLETE = 0x400D


class Property(IntEnum):
    """What it tells of itself."""

    DATE_TIME = 0x5011


class Format(IntEnum):
    """What kind of object it is."""

    UNDEFINED = 0x3000
    ASSOCIATION = 0x3001
    MOV = 0x300D
    JPEG = 0x3801
    TIFF = 0x380D
    DNG = 0x3811


ROOT = 0xFFFFFFFF
"""GetObjectHandles' parent for objects in no folder."""

STORE = 0x00010001
"""The one card: physical store 1, logical store 1."""

_BY_SUFFIX = {
    "jpg": Format.JPEG,
    "jpeg": Format.JPEG,
    "tif": Format.TIFF,
    "dng": Format.DNG,
    "mov": Format.MOV,
}


def format_of(name: str) -> Format:
    """Return the format that a camera would give a file of this name."""
    return _BY_SUFFIX.get(name.rpartition(".")[2].lower(), Format.UNDEFINED)
