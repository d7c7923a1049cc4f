"""The finer thread at the neck."""

import pytest

from features.fine_thread import micro_threads
from features.pitch import refine_pitch
from features.thread_search import search_thread
from sample_images.bench import bare_film, plain_cylinder
from sample_images.solids import Profile, Thread, v_flats
from tests.features.bodies_on_film import MM_PER_PX, followed, threaded


def cut(pitch_mm, depth_mm, from_mm, to_mm, starts=1):
    run = Profile(
        (0.0, from_mm, from_mm + 0.01, to_mm - 0.01, to_mm, 10.0),
        (0.0, 0.0, depth_mm, depth_mm, 0.0, 0.0),
    )
    return Thread(pitch_mm, starts, *v_flats(pitch_mm, depth_mm), run)


def necked(fine_depth_mm):
    threads = (cut(0.3, fine_depth_mm, 0.5, 2.5), cut(0.9, 0.35, 2.5, 9.0))
    film = {"mm_per_px": MM_PER_PX, "blur_px": 1.2, "photons": 4000}
    return bare_film(plain_cylinder(2.0, 10.0), threads, **film)


def looked(film):
    strip, outline, _ = followed(film)
    body = refine_pitch(strip, outline, search_thread(strip, outline))
    return body, *micro_threads(strip, outline, body)


def test_a_fine_thread_is_found_with_its_own_pitch_beside_the_bodys():
    body, finding, fine = looked(necked(0.12))
    assert finding.state == "present"
    assert finding.probability > 0.7
    assert fine.pitch_px.value * MM_PER_PX == pytest.approx(0.3, rel=0.05)
    assert body.pitch_px.value * MM_PER_PX == pytest.approx(0.9, rel=0.02)


@pytest.mark.parametrize("film", [lambda: necked(0.001), threaded])
def test_a_smooth_neck_has_none(film):
    _, finding, fine = looked(film())
    assert finding.state == "absent"
    assert finding.probability > 0.7
    assert fine is None
