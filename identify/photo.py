"""A photograph for the casebook: upright, not too large, and with nothing but the picture in it."""

from __future__ import annotations

import io

from PIL import Image, ImageOps, UnidentifiedImageError

from features.input_file import BadInput

LONGEST_PX = 2400  # a platform from above or a screw beside a ruler stays readable
QUALITY = 92


def clean_photo(raw: bytes, name: str) -> bytes:
    """Return a JPEG with no EXIF, no comment and no thumbnail in it.

    Raises
    ------
    BadInput
        It is no photograph, or damaged.
    """
    try:
        with Image.open(io.BytesIO(raw)) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        raise BadInput(
            f"{name}: this is no photograph, or a damaged one; choose a JPEG or PNG."
        ) from None
    picture.thumbnail((LONGEST_PX, LONGEST_PX))
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    store = io.BytesIO()
    bare.save(store, "JPEG", quality=QUALITY)
    return store.getvalue()
