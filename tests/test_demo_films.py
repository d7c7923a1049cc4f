"""The whole line on the six demo films: the true family, and every number near its truth."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from features.film import read_film_file
from features.marks import load_marks
from features.reading import ImplantReading, read_film
from identify.gathering import gather
from identify.knowledge import load_notes
from identify.weigh import weigh
from sample_images.demo_films import DEMO

FOLDER = Path(__file__).resolve().parents[1] / "sample_images" / "demo"
FILMS = sorted(FOLDER.glob("*.png"))
WIDTHS = ("platform_width_mm", "coronal_width_mm", "apical_width_mm", "core_width_mm")


@pytest.fixture(scope="module")
def readings() -> dict[str, tuple]:
    read = {}
    for path in FILMS:
        film = read_film_file(path)
        marks = load_marks(
            path.with_name(f"{path.stem}.marks.json"), width=film.width, height=film.height
        )
        truth = json.loads(path.with_name(f"{path.stem}.truth.json").read_text(encoding="utf-8"))
        read[path.stem] = (read_film(film, marks), truth)
    return read


def implant(reading) -> ImplantReading:
    return reading.implants[0]


def test_there_are_six_demo_films_of_six_families(readings):
    families = {truth["family"] for _, truth in readings.values()}
    assert len(readings) == len(families) == len(DEMO) == 6


@pytest.mark.parametrize("stem", [path.stem for path in FILMS])
def test_the_true_family_is_among_the_first_two(readings, stem):
    reading, truth = readings[stem]
    notes = load_notes()
    ranking = weigh(gather(reading, implant(reading).label, {}, notes.checklist), notes)
    assert truth["family"] in [support.key for support in ranking.supports[:2]]


@pytest.mark.parametrize("stem", [path.stem for path in FILMS])
def test_widths_lie_within_three_and_the_pitch_within_two_percent_of_the_truth(readings, stem):
    # the whole error, the scale's included: what a person reads off the page
    reading, truth = readings[stem]
    for key in WIDTHS:
        read = implant(reading).measures[key]
        assert read, f"{key}: {read.reason}"
        assert read.value == pytest.approx(truth["measures"][key], rel=0.03), key
    pitch = truth["measures"]["thread_pitch_mm"]
    if pitch is not None:
        assert implant(reading).measures["thread_pitch_mm"].value == pytest.approx(pitch, rel=0.02)


def test_the_scale_lies_within_its_95_percent_interval_on_all_but_one_film(readings):
    # of six 95 % intervals two or more miss in 3 % of draws; on one film the ball lies far out of
    # the implant's plane
    held = [
        reading.scale.mm_per_px.interval[0]
        < truth["mm_per_px"]
        < reading.scale.mm_per_px.interval[1]
        for reading, truth in readings.values()
    ]
    assert sum(held) >= 5
