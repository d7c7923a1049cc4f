"""A handful of invented families, small enough to check by hand. No real implant is meant."""

from identify.checklist import Checklist, ChecklistItem
from identify.evidence import Evidence
from identify.knowledge import Notes
from identify.note import Family, NumberFact, StateFact

MEMORY = "from memory"
GROUPS = ("external_index", "internal_index", "cone", "self_locking", "no_index", "one_piece")


def number(low, high, edge):
    return NumberFact(low=low, high=high, edge=edge, standing=MEMORY)


def states(**probabilities):
    return StateFact(probabilities=probabilities, standing=MEMORY)


def item(key, kind, broad, **more):
    shape = {"label": key.rsplit("_", 1)[0].replace("_", " ").capitalize(), "help": "Look closely."}
    if isinstance(broad, StateFact):
        shape["states"] = tuple(broad.probabilities)
    else:
        shape["unit"] = {"length": "mm", "angle": "deg", "number": "year"}[kind]
    given = shape | {"effort": 0, "harm": 0} | more
    return ChecklistItem(key=key, kind=kind, broad=broad, **given)


ITEMS = (
    item("coronal_width_mm", "length", number(2.5, 6.5, 1.0)),
    item("length_mm", "length", number(6, 20, 3), ratio="length_to_width"),
    item(
        "thread_pitch_mm",
        "length",
        number(0.3, 1.6, 0.3),
        ratio="pitch_to_width",
        together="thread size",
    ),
    item(
        "thread_depth_mm",
        "length",
        number(0.1, 0.8, 0.2),
        ratio="depth_to_width",
        together="thread size",
    ),
    item("taper_deg", "angle", number(-1, 8, 2)),
    item(
        "vents",
        "finding",
        states(present=0.2, absent=0.8),
        question="Is there a hole through the body?",
        asked_of=("eye",),
    ),
    item(
        "apex_form",
        "form",
        states(flat=0.25, dome=0.4, pointed=0.35),
        question="What is the lower end like?",
        asked_of=("eye",),
    ),
    item(
        "top_form",
        "form",
        states(nothing=0.3, block=0.2, covered=0.5),
        silent=("covered",),
        question="What stands above the platform?",
        asked_of=("eye",),
    ),
    item(
        "index",
        "finding",
        states(present=0.7, absent=0.3),
        question="Is there an index?",
        asked_of=("mouth", "bench"),
        effort=2,
        harm=1,
    ),
    item("flutes", "finding", states(present=0.3, absent=0.7)),
)

CHECKLIST = Checklist(
    items={entry.key: entry for entry in ITEMS},
    prior_none=0.08,
    prior_not_an_implant=0.04,
    contradicted_points=-20.0,
    contradicted_probability=0.01,
    contradicted_word="contradicted",
    verdicts=(
        {"word": "well supported", "at_least": 0.8},
        {"word": "possible", "at_least": 0.2},
        {"word": "weakly supported", "at_least": 0.0},
    ),
    not_assessable=("not assessable", "can't tell"),
)


def family(key, group, facts, *, share=0.95):
    connection = dict.fromkeys(GROUPS, (1 - share) / (len(GROUPS) - 1)) | {group: share}
    return Family(
        key=key,
        title=key.replace("_", " ").capitalize(),
        era="invented",
        body=f"body of {key.replace('_', ' ')}",
        connection=connection,
        facts=facts,
        lookalikes=(),
        restoring=None,
        prose={},
    )


FINE = family(
    "fine_screw",
    "external_index",
    {
        "coronal_width_mm": number(3.6, 4.1, 0.15),
        "length_mm": number(7, 18, 1),
        "thread_pitch_mm": number(0.55, 0.75, 0.05),
        "thread_depth_mm": number(0.3, 0.4, 0.05),
        "taper_deg": number(-0.5, 0.5, 0.3),
        "vents": states(present=0.1, absent=0.9),
        "apex_form": states(flat=0.2, dome=0.7, pointed=0.1),
        "top_form": states(nothing=0.05, block=0.45, covered=0.5),
        "index": states(present=0.98, absent=0.02),
    },
)
COARSE = family(
    "coarse_screw",
    "cone",
    {
        "coronal_width_mm": number(3.9, 4.9, 0.15),
        "length_mm": number(6, 16, 1),
        "thread_pitch_mm": number(1.0, 1.25, 0.05),
        "thread_depth_mm": number(0.3, 0.45, 0.05),
        "taper_deg": number(-0.5, 2, 0.3),
        "vents": states(present=0.02, absent=0.98),
        "apex_form": states(flat=0.3, dome=0.6, pointed=0.1),
        "index": states(present=0.6, absent=0.4),
    },
)
SMOOTH = family(
    "smooth_cylinder",
    "no_index",
    {
        "coronal_width_mm": number(3.2, 4.1, 0.15),
        "length_mm": number(8, 18, 1),
        "taper_deg": number(-0.5, 0.5, 0.3),
        "vents": states(present=0.7, absent=0.3),
        "index": states(present=0.3, absent=0.7),
    },
    share=0.6,
)
INNER = family("inner_one", "internal_index", dict(FINE.facts))
OTHER_INNER = family("inner_two", "internal_index", dict(FINE.facts))


def rival(key, facts):
    return FINE.model_copy(update={"key": key, "title": key, "connection": {}, "facts": facts})


def notes(*families):
    chosen = families or (FINE, COARSE, SMOOTH)
    return Notes.model_construct(
        families={one.key: one for one in chosen},
        rivals={
            "none_of_these": rival("none_of_these", {e.key: e.broad for e in ITEMS}),
            "not_an_implant": rival("not_an_implant", {"coronal_width_mm": number(1.0, 2.0, 0.3)}),
        },
        checklist=CHECKLIST,
        sources={},
        rules=None,
    )


def evidence(items, rel_std=0.0, kind="ball"):
    scale = {"kind": kind} | ({} if kind == "none" else {"rel_std": rel_std})
    return Evidence.model_validate({"scale": scale, "items": items})


def film(value, std):
    return {"value": value, "std_local": std, "by": "film"}


def said(state, probability=1.0, by="film"):
    return {"state": state, "probability": probability, "by": by}
