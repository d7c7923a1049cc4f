"""Cases planned against the notes as they stand, and questions put to the answer."""

from identify.case_file import Case
from identify.knowledge import load_notes
from identify.restore import plan

NOTES = load_notes()
NO_INDEX = {"family": "pressfit_cylinder_plain_bore", "index": "absent"}
EXTERNAL = {"family": "external_hex_parallel", "index": "present"}
INTERNAL = {"family": "internal_hex_parallel", "index": "present"}
CONE = {"family": "bone_level_cone", "index": "present"}


def planned(**facts):
    return plan(Case.model_validate(facts), NOTES).to_json()


def implants(*more, teeth=("36", "34"), **each):
    """As many implants as `teeth`, with `each` for all and one of `more` for each in turn."""
    labels = "ABCDEF"
    rows = [{"label": labels[i], "tooth": tooth} | each for i, tooth in enumerate(teeth)]
    return [row | (more[number] if number < len(more) else {}) for number, row in enumerate(rows)]


def upright(*leans, **each):
    """Two implants side by side that lean to mesial by `leans`; small and equal uncertainties."""
    tilts = [
        {"tilt_mesiodistal_deg": lean, "tilt_buccolingual_deg": 0.0, "tilt_std_deg": 0.2}
        for lean in leans
    ]
    teeth = ("36", "34", "37")[: len(leans)]
    frames = dict.fromkeys(teeth, 80.0)
    return {"tooth_frames_deg": frames, "implants": implants(*tilts, teeth=teeth, **each)}


def options(data, **where):
    return [o for o in data["options"] if all(o[key] == value for key, value in where.items())]


def only(data, **where):
    (option,) = options(data, **where)
    return option


def verdicts(data, **where):
    return {option["verdict"] for option in options(data, **where)}


def said(option):
    return " ".join(reason["text"] for reason in option["reasons"])
