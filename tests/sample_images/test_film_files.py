"""Files of a film: every format reads back, names are whole or absent, bytes repeat."""

import json

import numpy as np
import pytest
from PIL import Image

from features.film import read_film_file
from features.marks import load_marks
from sample_images.film_files import ENDINGS, KINDS, is_complete, write
from sample_images.simulate import describe, simulate

ROWS = 240


@pytest.fixture(scope="module")
def film():
    return simulate("external_hex_parallel", 7, "clinical", rows=ROWS)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read_back_with_its_marks(tmp_path, film, kind):
    stem = write(film, tmp_path, kind)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        [f"{stem}{ENDINGS[kind]}", f"{stem}.marks.json", f"{stem}.truth.json"]
    )
    read = read_film_file(tmp_path / f"{stem}{ENDINGS[kind]}")
    marks = load_marks(tmp_path / f"{stem}.marks.json", width=read.width, height=read.height)
    assert marks.implants[0].label == "A"
    told = json.loads((tmp_path / f"{stem}.truth.json").read_text(encoding="utf-8"))
    assert told["file"]["kind"] == kind
    if kind != "phone":
        # JPEG of quality 90 stays within some eight grey levels of 255 on a noisy film
        steps = {"png16": 1e-5, "dicom": 1.3e-4, "png8": 2.1e-3, "jpeg": 0.06}[kind]
        np.testing.assert_allclose(read.pixels, film.pixels / 65535, atol=steps)


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_film_gives_the_same_bytes(tmp_path, film, kind):
    for folder in ("one", "two"):
        write(film, tmp_path / folder, kind)
    names = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert len(names) == 3
    for name in names:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_dicom_films_spacing_is_that_of_its_geometry(tmp_path):
    styles = set()
    for seed in range(4):
        film = simulate("tri_channel", seed, "hard", rows=120)
        stem = write(film, tmp_path, "dicom")
        read = read_film_file(tmp_path / f"{stem}.dcm")
        told = json.loads((tmp_path / f"{stem}.truth.json").read_text(encoding="utf-8"))
        geometry = told["geometry"]
        assert geometry["receptor_mm_per_px"] == pytest.approx(
            told["mm_per_px"] * (1 + geometry["receptor_mm"] / geometry["source_mm"])
        )
        at_implant = told["file"]["calibrated"]
        expected = told["mm_per_px"] if at_implant else geometry["receptor_mm_per_px"]
        assert read.spacing.mm_per_px == pytest.approx(expected, rel=1e-6)
        styles.add((told["file"]["bits"], told["file"]["photometric"], at_implant))
    assert len(styles) > 1


def test_an_unknown_kind_is_refused_before_anything_is_written(tmp_path, film):
    with pytest.raises(ValueError, match="'kind' must be one of png16"):
        write(film, tmp_path / "new", "gif")
    assert not (tmp_path / "new").exists()


def test_a_writing_broken_off_leaves_no_half_file(tmp_path, film, monkeypatch):
    def full(self, data):
        with self.open("wb") as file:
            file.write(data[:10])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.write_bytes", full)
    with pytest.raises(OSError, match="No space"):
        write(film, tmp_path)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("ending", [".png", ".marks.json", ".truth.json"])
@pytest.mark.parametrize("harm", ["missing", "cut off"])
def test_a_film_with_a_harmed_file_is_not_complete(tmp_path, film, ending, harm):
    stem = write(film, tmp_path)
    asked = film.truth["asked"]
    assert is_complete(tmp_path, stem, "png16", asked)
    path = tmp_path / f"{stem}{ending}"
    if harm == "missing":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[:-40])
    assert not is_complete(tmp_path, stem, "png16", asked)


def test_a_film_asked_for_otherwise_is_not_complete(tmp_path, film):
    stem = write(film, tmp_path)
    asked = film.truth["asked"]
    assert not is_complete(tmp_path, stem, "png8", asked)
    assert not is_complete(tmp_path, stem, "png16", asked | {"stress": True})
    assert not is_complete(tmp_path, stem, "png16", asked | {"facts": "00000000"})


def test_fewer_rows_show_the_same_field(film):
    full = describe("external_hex_parallel", 7, "clinical")
    assert film.pixels.shape == (ROWS, 180)
    share = ROWS / 1000
    assert film.truth["mm_per_px"] == pytest.approx(full["mm_per_px"] / share)
    for small, large in zip(
        film.truth["points_px"]["platform"], full["points_px"]["platform"], strict=True
    ):
        np.testing.assert_allclose(np.add(small, 0.5), share * np.add(large, 0.5), atol=1e-6)


def test_a_png_is_grey_and_of_the_bits_asked_for(tmp_path, film):
    stem = write(film, tmp_path, "png8")
    with Image.open(tmp_path / f"{stem}.png") as image:
        assert image.mode == "L"
        assert image.size == (180, ROWS)
