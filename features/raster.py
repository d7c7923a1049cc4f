"""PNG, JPEG, TIFF, BMP and WebP films, decoded by Pillow."""

from __future__ import annotations

import io
import warnings
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError
from PIL.TiffTags import TAGS_V2

from features.picture import (
    Picture,
    UnreadableFilm,
    bits_used,
    check_size,
    luminance,
    to_unit,
    too_large,
)

# A JPEG from a telephone may be a "multi-picture object", which Pillow opens under another name.
PILLOW_FORMATS = {"JPEG": ("JPEG", "MPO")}
TIFF_TAG = {tag.name: number for number, tag in TAGS_V2.items()}
WHITE_IS_ZERO = 0  # TIFF 6.0 section 8, PhotometricInterpretation
MAYBE_NOT_SQUARE = (
    "The file says its pixels are not square; they were taken as square, so hold widths and "
    "lengths against something known."
)


class Levels(NamedTuple):
    """Grey levels (H, W) as stored, and the two that mean black and white."""

    values: NDArray[Any]
    black: float
    white: float
    notes: tuple[str, ...] = ()


def read_raster(data: bytes, kind: str) -> Picture:
    """Decode one of Pillow's formats, turned as its EXIF entry says.

    Parameters
    ----------
    data : bytes
        The whole file.
    kind : str
        ``PNG``, ``JPEG``, ``TIFF``, ``BMP`` or ``WEBP``.

    Raises
    ------
    UnreadableFilm
        Damaged, cut off, too large, or of a pixel type that is no picture.
    """
    image = _opened(data, kind)
    notes = _notes_on(image)
    lost = _loses_depth(image, data)
    image.load()
    ImageOps.exif_transpose(image, in_place=True)  # a copy would lose the TIFF's tags
    picture = _grey(image) if _is_grey(image) else _colour(image)
    if lost:
        notes += ("16-bit colour was read with 8 bits; save it as 16-bit grey to keep them all.",)
    return Picture(picture.grey, picture.bits, notes + picture.notes)


def _opened(data: bytes, kind: str) -> Image.Image:
    with warnings.catch_warnings(record=True) as complaints:
        warnings.simplefilter("always")
        try:
            image = Image.open(io.BytesIO(data), formats=PILLOW_FORMATS.get(kind, (kind,)))
        except Image.DecompressionBombError:
            raise too_large("far too many") from None
        except UnidentifiedImageError:
            raise UnreadableFilm(
                f"the {kind} is cut off, or of a pixel type not known here; copy it again from "
                "where it came, or save it as a grey PNG."
            ) from None
    # Pillow only warns of a TIFF directory that runs past the end of the file.
    if kind == "TIFF" and any("Corrupt EXIF" in str(each.message) for each in complaints):
        raise UnreadableFilm("the TIFF is cut off; copy it again from where it came.")
    check_size(*image.size)
    return image


def _notes_on(image: Image.Image) -> tuple[str, ...]:
    notes: tuple[str, ...] = ()
    pages = getattr(image, "n_frames", 1)
    if pages > 1:
        notes += (f"The file holds {pages} pictures; the first was read.",)
    across, down = (float(each) for each in image.info.get("dpi", (1, 1)))
    if across > 0 and down > 0 and abs(across / down - 1) > 0.02:
        notes += (MAYBE_NOT_SQUARE,)
    return notes


def _loses_depth(image: Image.Image, data: bytes) -> bool:
    """Whether Pillow halves this file's depth, as it does for 16-bit colour."""
    if _is_grey(image):
        return False
    if image.format == "PNG":
        return data[24] == 16  # PNG (ISO/IEC 15948) 11.2.1: bit depth, ninth byte of IHDR
    return bool(max(_tiff(image, "BitsPerSample", (8,))) > 8)


def _is_grey(image: Image.Image) -> bool:
    return image.mode in ("1", "L", "F") or image.mode.startswith("I")


def _tiff(image: Image.Image, name: str, default: Any) -> Any:
    tags: Any = getattr(image, "tag_v2", {})
    return tags.get(TIFF_TAG[name], default)


def _grey(image: Image.Image) -> Picture:
    levels = _levels(image)
    bits = bits_used(levels.values)
    grey = to_unit(levels.values, levels.black, levels.white)
    return Picture(grey, bits, levels.notes)


def _levels(image: Image.Image) -> Levels:
    values = np.asarray(image)
    if image.mode in ("1", "L"):
        # Pillow has turned a white-is-zero TIFF of these depths already.
        return Levels(values.astype(np.uint8), 0, 1 if image.mode == "1" else 255)
    levels = _float_levels(values) if image.mode == "F" else _deep_levels(image, values)
    if _tiff(image, "PhotometricInterpretation", 1) == WHITE_IS_ZERO:
        return levels._replace(black=levels.white, white=levels.black)
    return levels


def _deep_levels(image: Image.Image, values: NDArray[Any]) -> Levels:
    depth = int(_tiff(image, "BitsPerSample", (16,))[0])
    if depth > 16:
        return _stretched(values)
    if image.mode != "I" or image.format == "PNG":
        return Levels(values.astype(np.uint16), 0, 2**depth - 1)
    return Levels(values.astype(np.int16), -(2**15), 2**15 - 1)


def _float_levels(values: NDArray[Any]) -> Levels:
    if not np.isfinite(values).all():
        raise UnreadableFilm(
            "some of its pixels are not numbers; export it anew as a 16-bit TIFF or PNG."
        )
    if values.min() >= 0 and values.max() <= 1:
        return Levels(values, 0, 1)
    return _stretched(values)


def _stretched(values: NDArray[Any]) -> Levels:
    note = "The file states no grey range; its darkest and brightest pixel were taken as the ends."
    return Levels(values, float(values.min()), float(values.max()), (note,))


def _colour(image: Image.Image) -> Picture:
    see_through = "A" in image.getbands() or "a" in image.getbands()
    if see_through or "transparency" in image.info:
        return _over_black(image.convert("RGBA"))
    colours = np.asarray(image.convert("RGB"))
    grey, notes = luminance(colours.astype(np.float32) / np.float32(255))
    return Picture(grey, bits_used(colours[..., 1]), notes)


def _over_black(image: Image.Image) -> Picture:
    colours = np.asarray(image)
    grey, notes = luminance(colours[..., :3].astype(np.float32) / np.float32(255))
    if colours[..., 3].min() < 255:
        grey *= colours[..., 3].astype(np.float32) / np.float32(255)
        notes += ("Transparent parts of the picture were read as black.",)
    return Picture(grey, bits_used(colours[..., 1]), notes)
