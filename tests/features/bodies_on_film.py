"""Bare bodies of known size on a film, with the marks a hand would put there.

The bodies come from the renderer of the sample films, which shares no code with what measures them.
"""

from functools import cache

import numpy as np

from features.implant import read_implant
from features.marks import ImplantMark
from features.outline import follow_implant
from features.radiograph import Radiograph
from sample_images.bench import bare_film, iso_thread, plain_cylinder
from sample_images.solids import Profile, Thread, v_flats

MM_PER_PX = 0.03
ROUGH = ((3.0, -3.0), (-3.0, 3.0), (4.0, -3.0))  # platform ends and apex, some 4-5 px off
EXACT = ((0.0, 0.0),) * 3


@cache
def smooth(width_mm=4.0, length_mm=9.0, **film):
    """A smooth rod."""
    outer = plain_cylinder(width_mm / 2, length_mm)
    return bare_film(outer, **({"mm_per_px": MM_PER_PX, "blur_px": 1.4, "photons": 3000} | film))


@cache
def cone(top_mm, end_mm, length_mm=9.0, **film):
    """A smooth truncated cone by its two diameters."""
    outer = Profile((0.0, length_mm), (top_mm / 2, end_mm / 2))
    return bare_film(outer, **({"mm_per_px": MM_PER_PX, "blur_px": 1.4, "photons": 3000} | film))


@cache
def threaded(pitch_mm=0.8, depth_mm=0.35, starts=1, width_mm=4.0, length_mm=10.0, **film):
    """A rod with a V-thread from 1.5 mm below the top to 1 mm above the end; 0 starts: rings."""
    cut = Profile(
        (0.0, 1.5, 1.51, length_mm - 1.01, length_mm - 1.0, length_mm),
        (0.0, 0.0, depth_mm, depth_mm, 0.0, 0.0),
    )
    helix = Thread(pitch_mm, starts, *v_flats(pitch_mm, depth_mm), cut)
    outer = plain_cylinder(width_mm / 2, length_mm)
    film = {"mm_per_px": MM_PER_PX, "blur_px": 1.2, "photons": 4000} | film
    return bare_film(outer, (helix,), **film)


def screw(thread, **film):
    """Eight millimetres of a published screw thread, cut along its whole length."""
    outer, helix = iso_thread(thread["major_mm"], thread["pitch_mm"], 8.0)
    return bare_film(outer, (helix,), **({"blur_px": 1.0, "photons": 20000} | film))


def mark(truth, off=ROUGH, **more):
    """The marks of a body's truth, each moved by its `off`."""
    points = [*truth["platform"], truth["apex"]]
    left, right, apex = [(p[0] + o[0], p[1] + o[1]) for p, o in zip(points, off, strict=True)]
    return ImplantMark(label="A", platform_px=(left, right), apex_px=apex, **more)


def read(film, off=ROUGH, **more):
    """`read_implant` of a (pixels, truth) pair."""
    pixels, truth = film
    return read_implant(pixels.astype(np.float32), mark(truth, off, **more))


def followed(film, off=ROUGH):
    """Strip, outline and turn of a (pixels, truth) pair."""
    pixels, truth = film
    return follow_implant(pixels.astype(np.float32), mark(truth, off))


def moved(film, new_pixels, to_new):
    """The same body after its picture was changed; `to_new` takes an old point to its new place."""
    _, truth = film
    points = {
        "platform": [to_new(*p) for p in truth["platform"]],
        "apex": to_new(*truth["apex"]),
    }
    return np.ascontiguousarray(new_pixels), truth | points


def half_turned(film):
    """The film turned by 180°."""
    pixels, _ = film
    height, width = pixels.shape
    return moved(film, pixels[::-1, ::-1], lambda x, y: (width - 1 - x, height - 1 - y))


def mirrored(film):
    """The film seen from behind."""
    pixels, _ = film
    width = pixels.shape[1]
    return moved(film, pixels[:, ::-1], lambda x, y: (width - 1 - x, y))


def radiograph(pixels):
    """Any array as a film."""
    frozen = np.array(pixels, dtype=np.float32)
    frozen.flags.writeable = False
    return Radiograph(frozen, "0" * 64, 8)
