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
    SET_DEVICE_PROP_VALUE = 0x1016
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
    DEVICE_PROP_CHANGED = 0x4006
    OBJECT_INFO_CHANGED = 0x4007
    DEVICE_INFO_CHANGED = 0x4008
    STORE_FULL = 0x400A
    CAPTURE_COMPLETE = 0x400D


class Property(IntEnum):
    """What it tells of itself."""

    BATTERY_LEVEL = 0x5001
    COMPRESSION_SETTING = 0x5004
    F_NUMBER = 0x5007
    FOCAL_LENGTH = 0x5008
    FOCUS_DISTANCE = 0x5009
    FOCUS_MODE = 0x500A
    EXPOSURE_TIME = 0x500D
    EXPOSURE_INDEX = 0x500F
    DATE_TIME = 0x5011
    STILL_CAPTURE_MODE = 0x5013
    FOCUS_METERING_MODE = 0x501C


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
