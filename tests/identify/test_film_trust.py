"""What limits a film is said, the worst first."""

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from features.burned_in import WORDS
from features.finding import Finding
from features.marks import Marks
from features.quantity import Measured, NotMeasured
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading
from features.scale import Scale
from identify.film_trust import film_cautions

KNOWN = Scale(Measured(0.02, 0.0001, "mm/px"), "ball", "A ball.")
UNKNOWN = Scale(NotMeasured("nothing of known size"), "none", "No scale.")
SQUARE = Measured(1.0, 1.0, "deg")


DARK = np.zeros((100, 100), np.float32)


def cautions(
    *, joint="seen", tilt=SQUARE, scale=KNOWN, holder=True, findings=None, notes=(), pixels=DARK
):
    mark = {"label": "A", "joint": joint, "platform_px": [[10, 10], [40, 10]], "apex_px": [25, 90]}
    marks = Marks.model_validate({"film": {"holder": holder}, "implants": [mark]})
    implant = ImplantReading("A", None, {"tilt_deg": tilt}, {}, findings or {}, notes=notes)
    film = Radiograph(pixels, "f" * 64, 8)
    return film_cautions(film, marks, Reading("f" * 64, 100, 100, scale, (implant,)), implant)


def test_a_good_film_needs_no_caution():
    assert cautions() == ()


@pytest.mark.parametrize(
    ("fault", "word"),
    [
        ({"joint": "hidden"}, "joint is hidden"),
        ({"joint": "guessed"}, "joint was guessed"),
        ({"tilt": Measured(14.0, 2.0, "deg")}, "14° off square"),
        ({"tilt": Measured(-7.0, 2.0, "deg")}, "7° off square"),
        ({"tilt": NotMeasured("no rim"), "holder": False}, "not known"),
        ({"scale": UNKNOWN}, "no millimetres"),
        ({"scale": Scale(Measured(0.02, 0.001, "mm/px"), "line", "")}, "± 10 %"),
        ({"notes": ("the apex is cut off",)}, "The apex is cut off."),
        ({"findings": {"vents": Finding("not assessable", 1.0, "burnt out")}}, "1 of 1"),
    ],
)
def test_each_fault_is_named_by_itself(fault, word):
    said = cautions(**fault)
    assert len(said) == 1
    assert word in said[0]


def test_writing_in_a_corner_comes_before_all_else():
    picture = Image.new("F", (600, 400), 0.4)
    ImageDraw.Draw(picture).text((10, 8), "MUSTERFRAU", 1.0, ImageFont.load_default(22))
    said = cautions(pixels=np.asarray(picture), joint="hidden")
    assert said[0] == WORDS


def test_a_film_holder_stands_in_for_a_tilt_that_cannot_be_read():
    assert cautions(tilt=NotMeasured("no rim"), holder=True) == ()


def test_the_worst_comes_first():
    said = cautions(joint="hidden", scale=UNKNOWN, notes=("a small matter",))
    assert [sentence.split()[1] for sentence in said] == ["joint", "is", "small"]


def test_another_exposure_is_never_suggested():
    said = " ".join(cautions(joint="hidden", scale=UNKNOWN, holder=False, tilt=NotMeasured("x")))
    for word in ("again", "retake", "another film", "expos"):
        assert word not in said.lower()
