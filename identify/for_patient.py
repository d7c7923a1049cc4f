"""A paragraph the patient can read: what was found, how sure it is, what comes next."""

from __future__ import annotations

from identify.sheet import Sheet

# Words, not numbers: verbal frequencies a lay reader takes as meant.
SURE = ((0.9, "very probably"), (0.6, "probably"), (0.3, "possibly"), (0.0, "perhaps"))


def patient_paragraph(sheet: Sheet) -> str:
    """Tell a patient in plain words what the record says of one implant."""
    place = f"in the position of tooth {sheet.implant.tooth}" if sheet.implant.tooth else ""
    if sheet.reading:
        looked = f"We looked at the X-ray picture of the implant {place or 'shown'}"
    else:
        looked = f"We looked at what is known of your implant {place}".rstrip()
    begin = f"{looked}, for which there are no papers."
    if sheet.confirmed:
        return (
            f"{begin} What kind of implant it is has now been confirmed, so parts for it can be "
            "looked for. Please keep this page and your implant card, and show them to any dentist "
            "who treats this implant."
        )
    return (
        f"{begin} {_found(sheet)} This is not proven yet: no part will be ordered until it "
        "has been checked in your mouth or in the records of the practice that placed the implant. "
        "You can help: an implant card, an old bill or letter, earlier X-ray pictures, or the "
        "name of that practice may answer the question at once."
    )


def _found(sheet: Sheet) -> str:
    ranking = sheet.ranking
    if ranking.not_an_implant >= 0.5:
        what = "What the picture shows" if sheet.reading else "It"
        return f"{what} may not be an implant at all."
    best = ranking.families[0]
    sure = next(word for least, word in SURE if best.probability >= least)
    if ranking.none_of_these > best.probability:
        return "It does not look like any of the kinds we know well."
    seen = "its shape" if sheet.reading else "what was found"
    return f"By {seen} it is {sure} of the kind described as “{best.title}”."
