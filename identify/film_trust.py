"""Whether a film can be trusted for an identification: what is wrong with it, worst first."""

from __future__ import annotations

from features.burned_in import WORDS, carries_writing
from features.marks import Marks
from features.radiograph import Radiograph
from features.reading import ImplantReading, Reading
from features.scale import Scale
from identify.words import as_sentence, looked_for, percent

# Common practice: beyond these a film is taken again when it has to be taken again anyway.
TILT_MUCH_DEG = 10.0
TILT_SOME_DEG = 5.0
SCALE_POOR = 0.03  # relative; two families' widths often lie no further apart

Ranked = tuple[int, str]


def film_cautions(
    film: Radiograph, marks: Marks, reading: Reading, implant: ImplantReading
) -> tuple[str, ...]:
    """Sentences on what limits this film for this implant, the worst first; empty when nothing.

    A limit is no reason for another exposure: looking in the mouth tells more and costs none.
    """
    found = [
        *_of_joint(marks, implant.label),
        *_of_tilt(implant, marks),
        *_of_scale(reading.scale),
        *_of_coverage(implant),
        *_of_writing(film),
        *((2, note) for note in implant.notes),
        *((1, note) for note in (*reading.notes, *film.notes)),
    ]
    ordered = sorted(found, key=lambda pair: -pair[0])
    return tuple(dict.fromkeys(as_sentence(said) for _, said in ordered))


def _of_joint(marks: Marks, label: str) -> list[Ranked]:
    joint = next(implant.joint for implant in marks.implants if implant.label == label)
    said = {
        "hidden": (4, "The joint is hidden: where the implant ends at the top is not known."),
        "guessed": (3, "The joint was guessed: length and collar are less sure than they look."),
    }
    return [said[joint]] if joint in said else []


def _of_tilt(implant: ImplantReading, marks: Marks) -> list[Ranked]:
    tilt = implant.measures.get("tilt_deg")
    if tilt and abs(tilt.value) > TILT_SOME_DEG:
        severity = 4 if abs(tilt.value) > TILT_MUCH_DEG else 2
        said = f"The beam was about {abs(tilt.value):.0f}° off square: lengths are shortened, "
        return [(severity, said + "and threads and inner edges are blurred.")]
    if not tilt and not marks.film.holder:
        return [(2, "How square the beam was is not known, and no film holder is noted.")]
    return []


def _of_scale(scale: Scale) -> list[Ranked]:
    if not scale.mm_per_px:
        return [(3, "There is no scale: no millimetres, only ratios, angles and forms.")]
    if scale.rel_std and scale.rel_std > SCALE_POOR:
        return [(2, f"The scale is only good to ± {percent(1.96 * scale.rel_std)}.")]
    return []


def _of_writing(film: Radiograph) -> list[Ranked]:
    return [(5, WORDS)] if carries_writing(film) else []


def _of_coverage(implant: ImplantReading) -> list[Ranked]:
    seen = looked_for(implant)
    unseen = [key for key, what in seen.items() if what.state == "not assessable"]
    if 2 * len(unseen) > len(seen):
        return [(3, f"{len(unseen)} of {len(seen)} things looked for could not be assessed.")]
    return []
