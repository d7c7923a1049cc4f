"""Where browser and film pixels meet, and what comes back from the browser."""

import shutil
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from identify.screens import marker

places = st.tuples(st.floats(-0.5, 5000), st.floats(-0.5, 5000))


def test_the_centre_of_the_first_pixel_lies_half_a_pixel_inside_the_browsers_picture():
    assert marker.to_browser({"A:apex": (0.0, 0.0)}) == {"A:apex": {"x": 0.5, "y": 0.5}}


def test_the_browsers_corner_is_half_a_pixel_outside_the_first_centre():
    assert marker.to_film({"A:apex": {"x": 0.0, "y": 0.0}}) == {"A:apex": (-0.5, -0.5)}


@given(st.dictionaries(st.sampled_from(["A:apex", "scale:1"]), places))
def test_there_and_back_is_the_same_point(points):
    back = marker.to_film(marker.to_browser(points))
    for name, point in points.items():
        assert back[name] == pytest.approx(point, abs=1e-9)


def test_points_of_the_present_revision_are_taken_with_the_handle_that_moved():
    sent = {"rev": "f:3", "moved": "A:apex", "points": {"A:apex": {"x": 10.5, "y": 20.5}}}
    assert marker.sent_points(sent, "f:3") == ({"A:apex": (10.0, 20.0)}, "A:apex")


@pytest.mark.parametrize("rev", ["f:2", "g:3"])
def test_points_of_an_older_revision_or_another_film_are_ignored(rev):
    sent = {"rev": rev, "moved": "A:apex", "points": {"A:apex": {"x": 10.5, "y": 20.5}}}
    assert marker.sent_points(sent, "f:3") is None


def test_nothing_sent_yet_is_no_move():
    assert marker.sent_points(None, "f:0") is None


def test_the_script_the_browser_gets_is_valid(tmp_path):
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed: the browser tests load the script instead")
    whole = tmp_path / "marker.mjs"
    whole.write_text(marker.script(), encoding="utf-8")
    subprocess.run([node, "--check", str(whole)], check=True)
