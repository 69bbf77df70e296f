"""The maker's face: the public-domain portrait that scikit-image carries, cut out and enlarged.

At twice its size the portrait is deconvolved (Richardson 1972, Lucy 1974) until its edges are as
narrow as a camera's, and pores and lashes, finer than it could hold, are drawn in.
"""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw
from scipy import ndimage

from mocks.light import Field, as_field, to_coded, to_linear
from mocks.scenes.surface import grain, resize

_CUT = np.s_[0:216, 120:330]
_TWICE = 2
_SPREAD = 1.2
_ROUNDS = 8
_FINER = 4

# Around hair, ears and neck, px of the enlarged cut; the last part lies in the dark collar.
_OUTLINE = (
    (222, 31), (250, 35), (283, 46), (312, 63), (335, 85), (352, 115), (362, 160), (362, 180),
    (352, 212), (335, 237), (320, 252), (318, 262), (308, 271), (298, 275), (294, 274), (293, 284),
    (286, 303), (276, 322), (272, 345), (268, 362), (266, 378), (276, 428), (126, 428), (131, 378),
    (132, 345), (131, 315), (126, 290), (124, 265), (115, 261), (105, 246), (101, 237), (85, 218),
    (73, 200), (70, 178), (66, 140), (75, 115), (95, 92), (130, 72), (140, 62), (165, 48),
    (190, 40),
)  # fmt: skip
_HAIR_ENDS = 262
_COLLAR_ENDS = 425
_LIDS = (((145, 200), (151, 194), (160, 191), (172, 192), (182, 198)),
         ((233, 204), (241, 198), (251, 196), (263, 197), (275, 203)))  # fmt: skip

LEFT_EYE = (167, 202)
"""The eye on the viewer's left: column and row in what `head` returns, px."""


def head() -> tuple[Field, Field]:
    """Return premultiplied linear light, shape (432, 420, 3), and cover, shape (432, 420)."""
    from skimage import data

    portrait = to_linear(data.astronaut()[_CUT] / 255)
    shape = (portrait.shape[0] * _TWICE, portrait.shape[1] * _TWICE)
    large = np.clip(resize(portrait, shape), 1e-4, None)
    sharp = _deconvolved(large)
    cover = _cover(sharp)
    pores = 1 + 0.018 * grain(shape, 0.7, 31)
    lashes = _lashes(shape)
    light = sharp * (pores * (1 - 0.85 * lashes))[..., None]
    # What shines through at the hair's border is the old backdrop's light.
    behind = np.array([0.52, 0.47, 0.44], np.float32)
    light = np.clip(light - (1 - cover)[..., None] * behind, 0, None)
    return as_field(np.minimum(light, cover[..., None])), cover


def _deconvolved(image: Field) -> Field:
    spread = (_SPREAD, _SPREAD, 0)
    estimate = image
    for _ in range(_ROUNDS):
        again = np.maximum(ndimage.gaussian_filter(estimate, spread), 1e-4)
        estimate = estimate * ndimage.gaussian_filter(image / again, spread)
    return as_field(np.clip(estimate, 0, 1.2))


def _cover(image: Field) -> Field:
    """Return the matte: the outline, and along the hair what differs from the grey backdrop."""
    size = (image.shape[1] * _FINER, image.shape[0] * _FINER)
    drawing = Image.new("L", size, 0)
    ImageDraw.Draw(drawing).polygon([(x * _FINER, y * _FINER) for x, y in _OUTLINE], fill=255)
    fine = np.asarray(drawing, np.float32) / 255
    inside = fine.reshape(image.shape[0], _FINER, image.shape[1], _FINER).mean(axis=(1, 3))
    outline = np.clip(ndimage.gaussian_filter(inside, 1.6) * 1.6 - 0.5, 0, 1)
    coded = to_coded(image)
    warm = coded[..., 0] - coded[..., 2]
    dark = 0.66 - coded.mean(axis=-1)
    differs = np.clip(np.maximum((warm - 0.10) / 0.10, dark / 0.12), 0, 1)
    distance = ndimage.distance_transform_edt(inside > 0.5)
    core = np.clip((distance - 8) / 5, 0, 1)
    near = np.clip(1 - (ndimage.distance_transform_edt(inside < 0.5) - 4) / 4, 0, 1)
    hair = np.maximum(core, ndimage.gaussian_filter(differs, 0.8)) * near
    rows = np.arange(image.shape[0])[:, None]
    fade = np.clip((_COLLAR_ENDS - rows) / 30, 0, 1)
    return as_field(np.where(rows < _HAIR_ENDS, hair, outline) * fade)


def _lashes(shape: tuple[int, int]) -> Field:
    """Return the cover of the lashes on the upper lids."""
    rng = np.random.default_rng(32)
    drawing = Image.new("L", (shape[1] * _FINER, shape[0] * _FINER), 0)
    draw = ImageDraw.Draw(drawing)
    for lid in _LIDS:
        x, y = np.array(lid, np.float64).T
        middle = x.mean()
        for at in np.linspace(x[0], x[-1], 17):
            root = (at, float(np.interp(at, x, y)) + 1)
            lean = 0.35 * (at - middle) / 10 + 0.2 * rng.standard_normal()
            long = 3.6 + 0.8 * rng.standard_normal()
            curve = [
                (_FINER * (root[0] + lean * long * s * s), _FINER * (root[1] - long * s))
                for s in np.linspace(0, 1, 6)
            ]
            draw.line(curve, fill=170, width=5)
    fine = np.asarray(drawing, np.float32) / 255
    lines = fine.reshape(shape[0], _FINER, shape[1], _FINER).mean(axis=(1, 3))
    return as_field(ndimage.gaussian_filter(lines, 0.6))
