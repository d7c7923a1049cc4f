"""One judged implant on paper, for the tests of record, lab sheet and tables."""

from __future__ import annotations

from features.finding import Finding, Form, Vent
from features.quantity import Measured, NotMeasured
from features.reading import ImplantReading, Reading, Trace
from features.scale import Scale
from identify.evidence import Item
from identify.gathering import gather, gather_answers
from identify.next_look import next_looks, without_film
from identify.sheet import Sheet
from identify.weigh import weigh

HASH = "ab" * 32
PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg"><image href="data:image/jpeg;base64,AA=="/></svg>'
)


def implant(label="A", tooth="36"):
    return ImplantReading(
        label=label,
        tooth=tooth,
        measures={
            "length_mm": Measured(10.04, 0.08, "mm", 0.1),
            "coronal_width_mm": Measured(4.02, 0.02, "mm", 0.04),
            "thread_pitch_mm": Measured(0.62, 0.005, "mm", 0.006),
            "bore_mouth_mm": NotMeasured("the mouth is covered by the abutment"),
        },
        forms={"apex_form": Form("dome", 0.9)},
        findings={
            "threads": Finding("present", 0.98),
            "flutes": Finding("not assessable", 1.0, "the apex lies outside the film"),
        },
        vents=(Vent("oblong", *(Measured(n, 0.1, "mm") for n in (1.2, 2.4, 3.1)), 8.0, 0.9),),
        traces=(Trace("length", "line", ((1.0, 2.0), (1.0, 90.0))),),
    )


def judged_sheet(notes, label="A", **kind):
    scale = Scale(Measured(0.02, 0.0002, "mm/px"), "ball", "A 5 mm ball, its edge fitted.")
    reading = Reading(HASH, 100, 120, scale, (implant(label, **kind),))
    answers = {"index": Item(state="present", by="mouth")}
    evidence = gather(reading, label, answers, notes.checklist)
    ranking = weigh(evidence, notes)
    return Sheet(
        film_name="Demo film 1",
        picture_svg=PICTURE,
        reading=reading,
        label=label,
        evidence=evidence,
        ranking=ranking,
        looks=next_looks(evidence, notes, ranking),
        date="25 November 2026",
        typed={},
        film_cautions=("The joint is hidden.",),
        family_cautions=("Do not plan a single crown on it.",),
    )


ANSWERS = {
    "index_shape": Item(state="three lobes", by="bench"),
    "platform_width_mm": Item(value=4.1, by="bench"),
    "platform_shape": Item(state="can't tell", by="mouth"),
    "screw_pitch_mm": Item(value=0.4, by="bench", on="part"),
}


def unfilmed_sheet(notes, **more):
    evidence = gather_answers("A", ANSWERS, notes.checklist)
    ranking = weigh(evidence, notes)
    looks = without_film(next_looks(evidence, notes, ranking), notes.checklist)
    return Sheet(
        film_name="No film",
        label="A",
        tooth="36",
        evidence=evidence,
        ranking=ranking,
        looks=looks,
        date="25 November 2026",
        typed={},
        family_cautions=("Do not plan a single crown on it.",),
        **more,
    )
