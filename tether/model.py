"""The nouns of the house, as frozen values. No logic, no input or output."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from pathlib import Path


class Verdict(StrEnum):
    """Whether a frame's edges are as narrow as its purpose asks."""

    SHARP = "sharp"
    BORDERLINE = "borderline"
    SOFT = "soft"
    UNJUDGED = "unjudged"


class Cause(StrEnum):
    """What made a frame soft, or why it cannot be judged."""

    DEFOCUS = "defocus"
    FRONT_FOCUS = "front focus"
    BACK_FOCUS = "back focus"
    FOCUS_ELSEWHERE = "focus elsewhere"
    CAMERA_SHAKE = "camera shake"
    SUBJECT_MOTION = "subject motion"
    NO_DETAIL = "no detail"
    TOO_NOISY = "too noisy"
    UNREADABLE = "unreadable"


class Source(StrEnum):
    """Where a focus area was found."""

    CAMERA_FOCUS_POINT = "camera focus point"
    SUBJECT_AREA = "subject area"
    REGION_METADATA = "region metadata"
    NEAREST_EYE = "nearest eye"
    FIXED_AREA = "fixed area"
    FRAME_CENTRE = "frame centre"


class FocusMode(StrEnum):
    """Who focused, and when; automatic: the camera chose between single and continuous."""

    SINGLE = "single"
    CONTINUOUS = "continuous"
    AUTOMATIC = "automatic"
    MANUAL = "manual"


class Part(StrEnum):
    """A part of the head, as a photographer is told of it; right and left are the subject's."""

    NEAR_EYE = "near eye"
    FAR_EYE = "far eye"
    RIGHT_EYE = "right eye"
    LEFT_EYE = "left eye"
    NOSE = "nose"
    MOUTH = "mouth"
    NEAR_CHEEK = "near cheek"
    NEAR_EAR = "near ear"
    RIGHT_EAR = "right ear"
    LEFT_EAR = "left ear"
    HAIR = "hair"


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in pixels of the full-size unrotated image; x, y is its top-left corner."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class FocusArea:
    """Where the photographer meant the picture to be sharp, and who says so.

    `lost` says why a fixed area could not be followed to where it lies in this frame, or is empty.
    `why` is what each source says, in words, where that was asked for; the record does not keep it.
    """

    rect: Rect
    source: Source
    lost: str = ""
    why: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class EdgeWidth:
    """A 10–90 % rise distance (ISO 12233) in px, with its 95 % interval."""

    px: float
    lo: float
    hi: float


@dataclass(frozen=True, slots=True)
class Motion:
    """A movement: its angle, and how many times wider edges are along it than across it.

    The angle is in degrees counter-clockwise from the image's +x, in [0, 180), unrotated image.
    """

    angle_deg: float
    ratio: float


@dataclass(frozen=True, slots=True)
class Measurement:
    """What the pixels of one area say.

    `widest` and `narrowest` are None together, and then `reason` says why nothing was measured
    (`Cause.NO_DETAIL` or `Cause.TOO_NOISY`). `motion` is None unless the widths differ by more
    than their intervals. `noise` is the standard deviation of a pixel as a fraction of full
    scale, in the coded values of the file; `edges` is the number of edge points that were used;
    `clipped` is the share of pixels left out because they were at either end of the scale.
    `note` says in words what limits the measurement, or is empty.
    """

    widest: EdgeWidth | None
    narrowest: EdgeWidth | None
    motion: Motion | None
    reason: Cause | None
    noise: float
    edges: int
    clipped: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Eye:
    """An eye of the sitter, the right or the left: its square, and its edges' width if told.

    `width` is that of the widest direction.
    """

    part: Part
    rect: Rect
    width: EdgeWidth | None = None


@dataclass(frozen=True, slots=True)
class Around:
    """What the rest of the frame says about a soft focus area.

    `sharpest` is the place with the narrowest edges, if they are narrower than the area's interval,
    and its width in the widest direction. Of the `looked` places that were measured over the frame,
    `moved` show one common movement, the area's own where it shows one, and `still` are sharper
    than that movement would have let them be.
    """

    sharpest: tuple[Rect, EdgeWidth] | None = None
    moved: int = 0
    still: int = 0
    looked: int = 0


@dataclass(frozen=True, slots=True)
class Exposure:
    """How the frame was taken, as far as its metadata tells.

    `focal_length_35mm_mm` is the focal length in 35 mm terms. `focus_distance_m` is where the lens
    says that it was focused, infinity included. `stabilised` is whether a stabiliser was on, in
    lens or body.
    """

    shutter_s: float | None = None
    f_number: float | None = None
    focal_length_mm: float | None = None
    iso: int | None = None
    lens: str | None = None
    body: str | None = None
    pixel_pitch_um: float | None = None
    focal_length_35mm_mm: float | None = None
    focus_distance_m: float | None = None
    focus_mode: FocusMode | None = None
    stabilised: bool | None = None


@dataclass(frozen=True, slots=True)
class CameraSettings:
    """What a camera is set to before the shot, as far as it tells.

    `clock` is in s since 1970; `free_bytes` and `free_frames` are its cards'. `file_format`,
    `focus_mode_said`, `focus_area` and `shutter_said` are the camera's own words, empty where it
    has none. `focus_distance_m` is where the lens says that it is focused, infinity included.
    """

    battery_pct: float | None = None
    battery_said: str = ""
    clock: float | None = None
    free_bytes: int | None = None
    free_frames: int | None = None
    file_format: str = ""
    focus_mode: FocusMode | None = None
    focus_mode_said: str = ""
    focus_area: str = ""
    stabilised: bool | None = None
    shutter_s: float | None = None
    shutter_said: str = ""
    f_number: float | None = None
    iso: int | None = None
    focal_length_mm: float | None = None
    focus_distance_m: float | None = None
    lens: str | None = None


@dataclass(frozen=True, slots=True)
class Print:
    """A purpose: the whole picture printed, its long side so many cm, seen from so many cm."""

    long_side_cm: float
    distance_cm: float


@dataclass(frozen=True, slots=True)
class Screen:
    """A purpose: the whole picture on a screen, its long side so many px there."""

    long_side_px: int


@dataclass(frozen=True, slots=True)
class Pixels:
    """A purpose given as the edge width itself, in px of the full-size picture."""

    edge_width: float


Purpose = Print | Screen | Pixels


@dataclass(frozen=True, slots=True)
class Setup:
    """One arrangement of subject, light and camera, as the shot list names it.

    `code` is what its slate shows, where that is not the name. `needed` is the number of sharp
    frames, and 0 where any number will do. `preset` names the settings it is judged by, None for
    the session's. `area` is its fixed area as the settings take one: x, y, width and height from
    the top left of the unrotated frame, whole numbers for px or four with a decimal point for
    fractions.
    """

    name: str
    code: str = ""
    needed: int = 1
    preset: str | None = None
    area: tuple[int | float, ...] | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Against:
    """What a frame was compared with, and how sure what came of it is.

    `frame` is the reference's name and `number` its id in the session's record, None outside one.
    `ratio_95` is the 95 % interval of the frame's edge width over the reference's; None where the
    two cannot be compared, and then `reason` says why. Until a frame is compared that had to wait
    for it, `frame` is empty, for whether there is a reference is not known yet.
    """

    frame: str
    number: int | None
    ratio_95: tuple[float, float] | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """One frame with all that is known of it: the contract's line, as a value.

    `file` is the path that was judged, `frame` its name within the session. `crop` is a small
    JPEG of the middle of the focus area, one picture pixel a pixel, the right way up. `limit_why`
    says in a line where the limit comes from. `size` is the width and height of the unrotated
    picture, px. `around` is None until the rest of a soft frame was looked at. `notes` say what
    beside the pixels could not be read, or was left aside, and why. `eyes` holds the eye that was
    judged and then the other one, where eyes were looked for and seen. `judged_from` says which of
    a file's pictures was judged where it holds several: a raw's embedded JPEG or its samples.
    `taken_s` is when the picture was taken by the camera's own clock, in s since 1970 of whatever
    time zone that is set to. `relative_blur` is the edge width over that of the reference that
    `against` names. `slate` is the code that the frame shows, where it is a slate;
    `slate_refused` says why a code that it shows makes it none.
    `limit_times` is how many times the settings' own the limit is. `camera` says
    whose frame it is where several cameras or folders are watched.
    """

    file: Path
    frame: str
    arrived: datetime
    judged: datetime
    latency_ms: float
    verdict: Verdict
    cause: Cause | None = None
    measurement: Measurement | None = None
    limit_px: float | None = None
    area: FocusArea | None = None
    exposure: Exposure = field(default_factory=Exposure)
    advice: tuple[str, ...] = ()
    error: str | None = None
    setup: str | None = None
    relative_blur: float | None = None
    against: Against | None = None
    sharpest: tuple[Rect, EdgeWidth] | None = None
    around: Around | None = None
    orientation: int = 1
    size: tuple[int, int] | None = None
    crop: bytes = b""
    limit_why: str = ""
    notes: tuple[str, ...] = ()
    judged_from: str = ""
    eyes: tuple[Eye, ...] = ()
    taken_s: float | None = None
    slate: str = ""
    slate_refused: str = ""
    limit_times: float = 1.0
    camera: str | None = None
