"""Every picture format gives the grey that was written."""

import struct
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from PIL import Image

from features.film import UnreadableFilm, read_film_file
from tests.features.picture_files import DEEP, STEPS, encoded, png, tiff

EXACT = 1e-6  # float32 of a number between 0 and 1


def read(data):
    return read_film_file(data, "film")


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "BMP"])
def test_eight_bit_grey_is_exact(kind):
    film = read(encoded(STEPS, kind))
    np.testing.assert_allclose(film.pixels, STEPS / 255, atol=EXACT)
    assert (film.width, film.height, film.bits, film.notes) == (64, 40, 6, ())
    assert film.spacing is None


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_sixteen_bit_grey_is_exact(kind):
    film = read(encoded(DEEP, kind))
    np.testing.assert_allclose(film.pixels, DEEP / 65535, atol=EXACT)
    assert film.bits == 12  # 2560 levels


@pytest.mark.parametrize(
    ("white_is_zero", "big_endian"), [(False, False), (True, False), (False, True)]
)
def test_sixteen_bit_tiff_is_turned_where_white_is_zero(white_is_zero, big_endian):
    # TIFF 6.0 section 8, PhotometricInterpretation: 0 WhiteIsZero, 1 BlackIsZero
    film = read(tiff(DEEP, white_is_zero=white_is_zero, big_endian=big_endian))
    grey = DEEP / 65535
    np.testing.assert_allclose(film.pixels, 1 - grey if white_is_zero else grey, atol=EXACT)


def test_a_pixel_type_pillow_does_not_know_is_refused_as_such():
    with pytest.raises(
        UnreadableFilm, match=r"pixel type not known here; .* save it as a grey PNG"
    ):
        read(tiff(DEEP, white_is_zero=True, big_endian=True))


def test_eight_bit_tiff_is_turned_where_white_is_zero():
    film = read(tiff(STEPS, white_is_zero=True, bits=8))
    np.testing.assert_allclose(film.pixels, 1 - STEPS / 255, atol=EXACT)


def test_a_float_tiff_within_0_and_1_is_taken_as_it_is():
    grey = np.linspace(0.2, 0.7, 40 * 64, dtype=np.float32).reshape(40, 64)
    np.testing.assert_array_equal(read(encoded(grey, "TIFF")).pixels, grey)


def test_a_float_tiff_beyond_is_stretched_and_said():
    film = read(encoded(np.linspace(-5, 300, 2560, dtype=np.float32).reshape(40, 64), "TIFF"))
    assert (film.pixels.min(), film.pixels.max()) == (0, 1)
    assert any("states no grey range" in note for note in film.notes)


def test_a_float_tiff_with_holes_is_refused():
    grey = np.full((40, 64), np.nan, dtype=np.float32)
    with pytest.raises(UnreadableFilm, match="not numbers"):
        read(encoded(grey, "TIFF"))


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_one_bit_is_black_and_white(kind):
    picture = STEPS > 100
    film = read(encoded(Image.fromarray(picture), kind))
    np.testing.assert_array_equal(film.pixels, picture.astype(np.float32))
    assert film.bits == 1


@pytest.mark.parametrize("bits", [2, 4])
def test_few_bits_run_over_the_full_range(bits):
    top = 2**bits - 1
    values = np.tile(np.arange(64, dtype=np.uint8) * (top + 1) // 64, (40, 1))
    packed = np.packbits(
        np.unpackbits(values[..., None], axis=-1)[..., 8 - bits :].reshape(40, -1), axis=-1
    )
    data = png(packed, 0, bits)
    head = data.replace(struct.pack(">I", packed.shape[1]), struct.pack(">I", 64), 1)
    ihdr = head[12:29]
    fixed = head[:29] + struct.pack(">I", zlib.crc32(ihdr)) + head[33:]
    np.testing.assert_allclose(read(fixed).pixels, values / top, atol=EXACT)


def test_a_palette_is_looked_up():
    indexed = Image.frombytes("P", (64, 40), STEPS.tobytes())
    indexed.putpalette([level for index in range(256) for level in [255 - index] * 3])
    film = read(encoded(indexed, "PNG"))
    np.testing.assert_allclose(film.pixels, (255 - STEPS) / 255, atol=EXACT)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_transparent_parts_are_black(kind):
    alpha = np.full_like(STEPS, 255)
    alpha[:10] = 0
    layers = Image.fromarray(np.dstack([STEPS, STEPS, STEPS, alpha]))
    film = read(encoded(layers, kind, **({"lossless": True} if kind == "WEBP" else {})))
    np.testing.assert_array_equal(film.pixels[:10], 0)
    np.testing.assert_allclose(film.pixels[10:], STEPS[10:] / 255, atol=EXACT)
    assert any("Transparent" in note for note in film.notes)


def test_an_opaque_alpha_says_nothing():
    layers = Image.fromarray(np.dstack([STEPS, np.full_like(STEPS, 255)]))
    assert read(encoded(layers, "PNG")).notes == ()


def test_lossless_webp_is_exact():
    film = read(encoded(Image.fromarray(STEPS).convert("RGB"), "WEBP", lossless=True))
    np.testing.assert_allclose(film.pixels, STEPS / 255, atol=EXACT)


@pytest.mark.parametrize(
    ("colour", "luminance"),
    [((255, 0, 0), 0.299), ((0, 255, 0), 0.587), ((0, 0, 255), 0.114)],
)
def test_colour_becomes_luminance(colour, luminance):
    # ITU-R BT.601-7, section 2.5.1
    film = read(encoded(Image.new("RGB", (64, 40), colour), "PNG"))
    np.testing.assert_allclose(film.pixels, luminance, atol=EXACT)
    assert "colour" in film.notes[0]


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
def test_jpeg_comes_within_its_loss(mode):
    image = Image.fromarray(STEPS).convert("RGB").convert(mode)
    film = read(encoded(image, "JPEG", quality=98, subsampling=0))
    np.testing.assert_allclose(film.pixels, STEPS / 255, atol=4 / 255)
    assert film.notes == ()


def test_sixteen_bit_colour_says_what_it_loses():
    film = read(png(np.dstack([DEEP] * 3), 2, 16))
    np.testing.assert_allclose(film.pixels, DEEP / 65535, atol=1 / 255)
    assert any("8 bits" in note for note in film.notes)


# Exif 2.32 (CIPA DC-008), Orientation: where row 0 and column 0 of the stored picture are shown
TURNS = {
    1: lambda shown: shown,
    2: lambda shown: shown[:, ::-1],
    3: lambda shown: shown[::-1, ::-1],
    4: lambda shown: shown[::-1],
    5: lambda shown: shown.T,
    6: np.rot90,
    7: lambda shown: shown[::-1, ::-1].T,
    8: lambda shown: np.rot90(shown, -1),
}


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
@pytest.mark.parametrize("orientation", TURNS)
def test_exif_turns_are_undone(orientation, kind):
    shown = np.zeros((40, 64), dtype=np.uint8)
    shown[:20, :32], shown[:20, 32:], shown[20:, :32] = 240, 160, 80
    exif = Image.Exif()
    exif[0x0112] = orientation
    stored = Image.fromarray(np.ascontiguousarray(TURNS[orientation](shown)))
    film = read(encoded(stored, kind, exif=exif))
    assert (film.width, film.height) == (64, 40)
    corners = film.pixels[[4, 4, 35, 35], [4, 59, 4, 59]]
    np.testing.assert_allclose(corners, np.array([240, 160, 80, 0]) / 255, atol=6 / 255)


def test_the_first_of_several_pages_is_read_and_said():
    second = Image.fromarray(255 - STEPS)
    film = read(encoded(STEPS, "TIFF", save_all=True, append_images=[second]))
    np.testing.assert_allclose(film.pixels, STEPS / 255, atol=EXACT)
    assert film.notes == ("The file holds 2 pictures; the first was read.",)


def test_a_print_resolution_is_no_spacing():
    assert read(encoded(STEPS, "PNG", dpi=(1270, 1270))).spacing is None


def test_uneven_print_resolution_is_said():
    film = read(encoded(STEPS, "TIFF", dpi=(200, 100)))
    assert any("not square" in note for note in film.notes)


def test_eight_bit_grey_saved_as_sixteen_counts_as_eight():
    levels = np.arange(40 * 64, dtype=np.uint16).reshape(40, 64) % 256
    assert read(encoded(levels * 257, "PNG")).bits == 8


@given(
    hnp.arrays(
        np.uint16,
        st.tuples(st.integers(32, 40), st.integers(32, 40)),
        elements=st.integers(0, 65535),
        fill=st.integers(0, 65535),
    )
)
@settings(deadline=None, max_examples=40, derandomize=True)
def test_every_sixteen_bit_level_survives_a_png(levels):
    film = read(encoded(levels, "PNG"))
    np.testing.assert_array_equal(np.round(film.pixels * 65535).astype(np.uint16), levels)
