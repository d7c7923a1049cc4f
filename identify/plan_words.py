"""A plan's keys in a clinician's words."""

from __future__ import annotations

INDICATIONS = {
    "single": "Single crown",
    "splinted": "Joined crowns, bridge",
    "removable": "Overdenture",
}
RETENTIONS = {
    "cement": "Cemented",
    "screw": "Screw-retained",
    "ball": "Ball attachment",
    "low_profile_stud": "Low stud attachment",
    "bar": "Bar",
    "telescopic": "Telescopic copings",
    "magnet": "Magnet",
}
MAKINGS = {
    "stock": "stock part",
    "milled": "milled",
    "bonded_base": "on a bonded base",
    "cast_to": "cast to a machined base",
    "castable": "castable pattern",
}
VERDICTS = {
    "suits": "suits",
    "with_care": "with care",
    "does_not_suit": "does not suit",
    "cannot_judge": "cannot be judged yet",
}
