"""DICOM films: intraoral, panoramic, digital and computed radiography, by pydicom.

Only pixels, spacing and notes leave this file; no attribute that names the patient is read.
Sections cited are those of DICOM PS3.3 2024d, https://dicom.nema.org/medical/dicom/current
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydicom import Dataset, dcmread
from pydicom.errors import InvalidDicomError
from pydicom.pixels.processing import apply_color_lut, apply_modality_lut
from pydicom.pixels.utils import pixel_array
from pydicom.uid import (
    JPEG2000,
    DeflatedExplicitVRLittleEndian,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGBaseline8Bit,
    JPEGExtended12Bit,
    JPEGLSNearLossless,
    RLELossless,
)
from scipy import ndimage

from features.decode_apart import decode_apart
from features.dicom_spacing import FoundSpacing, find_spacing
from features.picture import (
    Picture,
    UnreadableFilm,
    bits_used,
    check_size,
    luminance,
    to_unit,
)

PROJECTIONS = ("IO", "PX", "DX", "CR", "RG", "XC", "OT", "SC", "")  # section C.7.3.1.1.1
PIXELS = ("PixelData", "FloatPixelData", "DoubleFloatPixelData")
WIDENED = (
    "The display window in the file would clip part of the film; it was widened so that metal "
    "keeps its detail, so set the contrast on the screen."
)
DEFLATED = re.compile(re.escape(DeflatedExplicitVRLittleEndian.encode()) + rb"(?![0-9.])")
ALWAYS_LOSSY = (JPEGBaseline8Bit, JPEGExtended12Bit, JPEGLSNearLossless)
# Pillow raises on damage; what it cannot decode, gdcm must, and that may end the whole process.
TAME = (JPEGBaseline8Bit, JPEGExtended12Bit, JPEG2000, JPEG2000Lossless)
LEAST_OF_RANGE = 0.5  # a stored range used less than this is not the film's own


class Tones(NamedTuple):
    """Pixel values after the modality stage, and the two that become 0 and 1."""

    values: NDArray[Any]
    low: float
    high: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Range:
    low: float
    high: float

    @property
    def span(self) -> float:
        return self.high - self.low

    def widened(self, other: _Range) -> _Range:
        return _Range(min(self.low, other.low), max(self.high, other.high))


def read_dicom(data: bytes) -> Picture:
    """Decode the first frame of a DICOM file.

    Raises
    ------
    UnreadableFilm
        Not DICOM, no pixels, a compression that is not known, too large, or damaged.
    """
    dataset = _dataset(data)
    _check_pixels(dataset)
    stored = _decode(dataset, data)
    picture = _colour(dataset, stored) if stored.ndim == 3 else _grey(dataset, stored)
    found = find_spacing(dataset)
    grey, squared = _squared(picture.grey, found)
    notes = (*_notes_on(dataset), *picture.notes, *found.notes, *squared)
    return Picture(grey, picture.bits, notes, found.spacing)


def _dataset(data: bytes) -> Dataset:
    # Inflating a deflated file has no bound that could be set, so none is inflated.
    if DEFLATED.search(data, 0, 2048):
        raise UnreadableFilm("a deflated DICOM file is not opened; export it uncompressed.")
    try:
        dataset = dcmread(io.BytesIO(data), force=True)
    except InvalidDicomError:
        raise UnreadableFilm("the DICOM header is damaged; export the film anew.") from None
    if "TransferSyntaxUID" not in dataset.file_meta:
        implicit, _ = dataset.original_encoding
        syntax = ImplicitVRLittleEndian if implicit else ExplicitVRLittleEndian
        dataset.file_meta.TransferSyntaxUID = syntax
    return dataset


def _check_pixels(dataset: Dataset) -> None:
    if not any(dataset.get(keyword) for keyword in PIXELS):
        raise UnreadableFilm(
            "this DICOM file holds no picture (a report, an index or a header only); choose the "
            "image file beside it."
        )
    if not (dataset.get("Rows") and dataset.get("Columns")):
        raise UnreadableFilm("this DICOM file does not state its size; export the film anew.")
    check_size(dataset.Columns, dataset.Rows)


def _decode(dataset: Dataset, data: bytes) -> NDArray[Any]:
    syntax = dataset.file_meta.TransferSyntaxUID
    try:
        if syntax in TAME:
            return np.asarray(pixel_array(dataset, index=0, decoding_plugin="pillow"))
        if syntax.is_compressed and syntax != RLELossless:
            return decode_apart(data)
        return np.asarray(pixel_array(dataset, index=0))
    except Exception as error:
        # pydicom raises these two where no decoder is at hand, and others on damage
        if syntax.is_compressed and isinstance(error, NotImplementedError | RuntimeError):
            raise UnreadableFilm(
                f"its pixels cannot be unpacked ({syntax.name}): damaged, or a compression not "
                "known here; export the film uncompressed."
            ) from None
        raise


def _notes_on(dataset: Dataset) -> tuple[str, ...]:
    frames = int(dataset.get("NumberOfFrames") or 1)
    modality = str(dataset.get("Modality") or "")
    facts = (
        (frames > 1, f"The file holds {frames} frames; the first was read."),
        (
            dataset.get("LossyImageCompression") == "01"
            or dataset.file_meta.TransferSyntaxUID in ALWAYS_LOSSY,
            "The film was compressed with loss: fine edges may have suffered.",
        ),
        (
            dataset.get("BurnedInAnnotation") == "YES",
            "The file says that writing is burnt into the picture: look for names before sharing.",
        ),
        (
            modality == "PX",
            "A panoramic film magnifies unevenly: a length on it holds only near its scale.",
        ),
        (
            modality not in PROJECTIONS,
            "The file is not a plain radiograph by its own label: hold every reading in doubt.",
        ),
    )
    return tuple(sentence for holds, sentence in facts if holds)


def _colour(dataset: Dataset, stored: NDArray[Any]) -> Picture:
    white = 2 ** int(dataset.get("BitsStored", 8)) - 1
    grey, notes = luminance(to_unit(stored, 0, white))
    return Picture(grey, bits_used(stored[..., 1]), notes)


def _grey(dataset: Dataset, stored: NDArray[Any]) -> Picture:
    if dataset.get("PhotometricInterpretation") == "PALETTE COLOR":
        colours = apply_color_lut(stored, dataset)
        grey, notes = luminance(to_unit(colours[..., :3], 0, float(np.iinfo(colours.dtype).max)))
        return Picture(grey, bits_used(stored), notes)
    padding = _padding(dataset, stored)
    tones = _tones(dataset, stored, padding)
    turned, note = _is_turned(dataset)
    black, white = (tones.high, tones.low) if turned else (tones.low, tones.high)
    grey = to_unit(tones.values, black, white)
    grey[padding] = 0
    return Picture(grey, bits_used(stored), tones.notes + note)


def _padding(dataset: Dataset, stored: NDArray[Any]) -> NDArray[np.bool_]:
    # Section C.7.5.1.1.2: values in this range are no part of the picture
    first = dataset.get("PixelPaddingValue")
    if first is None:
        return np.zeros(stored.shape, dtype=bool)
    last = dataset.get("PixelPaddingRangeLimit", first)
    return np.asarray((stored >= min(first, last)) & (stored <= max(first, last)))


def _tones(dataset: Dataset, stored: NDArray[Any], padding: NDArray[np.bool_]) -> Tones:
    """Choose the grey range so that neither metal nor air is clipped."""
    values = apply_modality_lut(stored, dataset)
    shown = values if padding.all() or not padding.any() else values[~padding]
    seen = _Range(float(shown.min()), float(shown.max()))
    window, notes = _window(dataset)
    if window:
        chosen = window.widened(seen)
        if chosen != window:
            notes += (WIDENED,)
    else:
        chosen = _stored_range(dataset).widened(seen)
    if seen.span < LEAST_OF_RANGE * chosen.span:
        chosen = seen
    return Tones(values, chosen.low, chosen.high, notes)


def _stored_range(dataset: Dataset) -> _Range:
    if "ModalityLUTSequence" in dataset or not dataset.get("BitsStored"):
        return _Range(np.inf, -np.inf)
    bits = int(dataset.BitsStored)
    signed = dataset.get("PixelRepresentation") == 1
    ends = np.array([-(2 ** (bits - 1)), 2 ** (bits - 1) - 1] if signed else [0, 2**bits - 1])
    ends = apply_modality_lut(ends, dataset)
    return _Range(float(ends.min()), float(ends.max()))


def _window(dataset: Dataset) -> tuple[_Range | None, tuple[str, ...]]:
    # Section C.11.2.1.2: a linear window; a curve (VOI LUT, SIGMOID) ends in clipping as well
    curve = bool(dataset.get("VOILUTSequence")) or dataset.get("VOILUTFunction") == "SIGMOID"
    notes = ("A display curve in the file was left out, so that metal keeps its detail.",)
    centre, width = (_first(dataset, f"Window{what}") for what in ("Center", "Width"))
    if curve or centre is None or width is None or width <= 1:
        return None, notes if curve else ()
    # C.11.2.1.2.1, LINEAR: from c - 0.5 - (w - 1) / 2 to c - 0.5 + (w - 1) / 2
    exact = dataset.get("VOILUTFunction") == "LINEAR_EXACT"
    middle, half = (centre, width / 2) if exact else (centre - 0.5, (width - 1) / 2)
    return _Range(middle - half, middle + half), ()


def _first(dataset: Dataset, keyword: str) -> float | None:
    try:
        value = dataset.get(keyword)
        number = float(value[0] if hasattr(value, "__getitem__") and value != "" else value)
    except (TypeError, ValueError, IndexError):
        return None
    return number if np.isfinite(number) else None


def _is_turned(dataset: Dataset) -> tuple[bool, tuple[str, ...]]:
    # C.7.6.3.1.2: MONOCHROME1 shows its lowest value white. C.8.11.3.1.2: Presentation LUT Shape
    # is INVERSE with MONOCHROME1 and IDENTITY with MONOCHROME2: it says the same again, so a film
    # is turned once, never twice.
    first = dataset.get("PhotometricInterpretation") == "MONOCHROME1"
    shape = dataset.get("PresentationLUTShape")
    inverse = shape == "INVERSE"
    if shape in ("INVERSE", "IDENTITY") and inverse != first:
        return True, (
            "The file contradicts itself about which end is white; if metal looks dark, invert.",
        )
    return first, ()


def _squared(
    grey: NDArray[np.float32], found: FoundSpacing
) -> tuple[NDArray[np.float32], tuple[str, ...]]:
    if found.aspect == 1:
        return grey, ()
    down, across = max(found.aspect, 1.0), max(1 / found.aspect, 1.0)
    height, width = round(grey.shape[0] * down), round(grey.shape[1] * across)
    check_size(width, height)
    # an integer is a pixel's centre: new row r lies at (r + 0.5) / down - 0.5 of the old ones
    scale = np.array([1 / down, 1 / across])
    square = ndimage.affine_transform(
        grey,
        scale,
        offset=0.5 * scale - 0.5,
        output_shape=(height, width),
        order=1,  # a cubic would overshoot beside metal
        mode="nearest",
    )
    note = (
        f"The file's pixels are not square ({found.aspect:.4g} times as high as wide); the film "
        "was resampled to square ones."
    )
    return square, (note,)
