"""A photographed film: points land where they say, and the light does what light does."""

import io

import numpy as np
import pytest
from PIL import Image

from sample_images.phone_film import photographed
from sample_images.phone_photo import draw_photo, jpeg_bytes, photograph
from sample_images.simulated import Simulated

SHAPE = (400, 300)
DOT_PX = 9


def dotted(points, shape=SHAPE):
    """White discs on grey, 16-bit."""
    y, x = np.indices(shape)
    out = np.full(shape, 16000, np.uint16)
    for px, py in points:
        out[np.hypot(x - px, y - py) < DOT_PX] = 65535
    return out


def centroid(grey, near, reach=22):
    x0, y0 = (round(value) - reach for value in near)
    box = grey[y0 : y0 + 2 * reach, x0 : x0 + 2 * reach].astype(float)
    weight = np.clip(box - (box.min() + box.max()) / 2, 0, None)
    y, x = np.indices(box.shape)
    return x0 + np.average(x, weights=weight), y0 + np.average(y, weights=weight)


@pytest.mark.parametrize("seed", range(6))
def test_points_land_on_what_they_name(seed):
    points = [(60.0, 50.0), (240.0, 80.0), (150.0, 200.0), (70.0, 330.0), (245.0, 345.0)]
    rng = np.random.default_rng(seed)
    photo = draw_photo(SHAPE, rng)
    picture = photograph(dotted(points), photo, rng)
    grey = picture.mean(axis=2)
    for point in points:
        said = photo.point(point)
        # glare and moire pull a centroid about; half a pixel is far below a hand's 2 px
        np.testing.assert_allclose(centroid(grey, said), said, atol=0.5)


@pytest.mark.parametrize("seed", range(4))
def test_the_local_enlargement_is_that_of_a_small_square(seed):
    photo = draw_photo(SHAPE, np.random.default_rng(seed))
    for x, y in ((20.0, 30.0), (280.0, 370.0)):
        corners = [photo.point((x + dx, y + dy)) for dx, dy in ((0, 0), (1, 0), (1, 1), (0, 1))]
        (xs, ys) = np.array(corners).T
        area = 0.5 * abs(np.dot(xs, np.roll(ys, 1)) - np.dot(ys, np.roll(xs, 1)))
        assert photo.enlargement((x + 0.5, y + 0.5)) == pytest.approx(np.sqrt(area), rel=2e-3)


def test_perspective_differs_across_the_film():
    spread = []
    for seed in range(8):
        photo = draw_photo(SHAPE, np.random.default_rng(seed))
        sizes = [photo.enlargement(corner) for corner in ((0, 0), (299, 0), (0, 399), (299, 399))]
        spread.append(max(sizes) / min(sizes) - 1)
    assert min(spread) > 0.005
    assert max(spread) > 0.03


def test_the_screens_grid_beats_against_the_sensors():
    rng = np.random.default_rng(3)
    photo = draw_photo(SHAPE, rng)
    picture = photograph(np.full(SHAPE, 52000, np.uint16), photo, rng)
    rows, columns = (side // 2 for side in photo.shape)
    box = picture[rows - 64 : rows + 64, columns - 64 : columns + 64, 1].astype(float)
    power = np.abs(np.fft.fft2(box - box.mean())) ** 2
    power[:3, :3] = power[-3:, :3] = power[:3, -3:] = power[-3:, -3:] = 0  # shading and glare
    # noise spreads over all 16384 frequencies; a beat stands in a handful of them
    assert power.max() > 200 * np.median(power[power > 0])


def test_colours_are_cast_and_the_picture_is_8_bit_colour():
    casts = set()
    for seed in range(4):
        rng = np.random.default_rng(seed)
        picture = photograph(dotted([]), draw_photo(SHAPE, rng), rng)
        assert picture.dtype == np.uint8
        assert picture.shape[2] == 3
        casts.add(tuple(np.round(picture.mean(axis=(0, 1)) - picture.mean(), 1)))
    assert len(casts) == 4
    with Image.open(io.BytesIO(jpeg_bytes(picture, 85))) as image:
        assert image.format == "JPEG"
        assert image.size == (picture.shape[1], picture.shape[0])


@pytest.fixture(scope="module")
def film():
    points = {"platform": [[110.0, 120.0], [190.0, 120.0]], "apex": [150.0, 320.0]}
    points |= {"ball": [[220.0, 60.0], [260.0, 60.0]], "line": None}
    truth = {"key": "some_family", "level": "clinical", "seed": 4, "mm_per_px": 0.05}
    implant = {"label": "A", "platform_px": points["platform"], "apex_px": points["apex"]}
    marks = {"scale": {"kind": "ball", "ends_px": points["ball"]}, "implants": [implant]}
    return Simulated(
        dotted([(240.0, 60.0)]), truth | {"points_px": points}, marks | {"film": {"holder": False}}
    )


def test_truth_and_marks_move_along(film):
    photo = photographed(film)
    middle = np.mean(photo.truth["points_px"]["ball"], axis=0)
    np.testing.assert_allclose(centroid(photo.pixels.mean(axis=2), middle), middle, atol=1.0)
    for marked, true in zip(
        [*photo.marks["implants"][0]["platform_px"], *photo.marks["scale"]["ends_px"]],
        [*photo.truth["points_px"]["platform"], *photo.truth["points_px"]["ball"]],
        strict=True,
    ):
        assert 1.9 < np.hypot(*np.subtract(marked, true)) < 6.1
    assert photo.truth["points_px"]["line"] is None


def test_the_local_scale_turns_the_photographs_pixels_into_millimetres(film):
    photo = photographed(film)
    left, right = photo.truth["points_px"]["platform"]
    wide = np.hypot(*np.subtract(left, right)) * photo.truth["mm_per_px"]
    # 80 px of 0.05 mm; the platform stands off the implant's middle, where the scale holds
    assert wide == pytest.approx(4.0, rel=0.06)
    assert photo.truth["mm_per_px_is"] == "local, at the middle of the implant"


def test_the_same_film_gives_the_same_photograph(film):
    one, two = photographed(film), photographed(film)
    np.testing.assert_array_equal(one.pixels, two.pixels)
    assert one.truth == two.truth
    assert one.marks == two.marks
