"""Facts that contradict each other get one sentence with the way out."""

from __future__ import annotations

import json

import pytest

from features.input_file import BadInput
from identify.case_file import load_case
from tests.identify.planned_cases import EXTERNAL, implants, planned

BASE = {"radiofixture": "case/1", "family": "external_hex_parallel"}
GUM = {"label": "A", "tissue_depth_mm": 4.0}


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"vertical_space_mm": -3}, ["vertical_space_mm", "greater than 0", "-3"]),
        ({"index": "absent", "parts_engage_index": "yes"}, ["index is absent", "engage"]),
        ({"connection": "no_index", "index": "present"}, ["no_index", "index is present"]),
        (
            {"implants": [{"label": "A", "connection": "one_piece", "index": "present"}]},
            ["one_piece", "index is present"],
        ),
        (
            {"vertical_space_mm": 3.0, "space_datum": "platform", "implants": [GUM]},
            ["gum is 4 mm", "only 3 mm", "measure"],
        ),
        (
            {"implants": [{"label": "A", "tooth": "36"}, {"label": "B", "tooth": "36"}]},
            ["one tooth"],
        ),
        ({"films": [{"tilts": {"11": {"mesiodistal_deg": 3.0}}}]}, ["films", "'11'"]),
        ({"parts": [{"kind": "replica", "state": "plenty"}]}, ["parts[0].state", "in stock"]),
    ],
)
def test_contradictions_are_one_clear_sentence(tmp_path, facts, words) -> None:
    path = tmp_path / "case.json"
    path.write_text(json.dumps(BASE | facts), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load_case(path)
    sentence = str(caught.value)
    assert all(word in sentence for word in words), sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")


ROWS = [
    {"kind": "replica", "platform_width_mm": width, "state": "in stock"} for width in (3.5, 4.1)
]


def test_a_platform_nobody_measured_is_said_to_be_so() -> None:
    one = implants(teeth=("36",))
    data = planned(**EXTERNAL, implants=one, parts=ROWS, confirmed="record")
    told = [note for note in data["notes"] if "Shelf" in note]
    (sentence,) = told
    assert sentence == (
        "No platform is measured: parts of the Shelf count at any width (3.5, 4.1 mm)."
    )
    states = {part["state"] for option in data["options"] for part in option["parts"]}
    assert "in stock" in states


def test_a_platform_no_row_of_the_shelf_has_is_said_once() -> None:
    one = implants({"platform_width_mm": 4.8}, teeth=("36",))
    data = planned(**EXTERNAL, implants=one, parts=ROWS, indication="single")
    told = [note for note in data["notes"] if "Shelf" in note]
    (sentence,) = told
    assert sentence == (
        "No row of the Shelf has a platform of 4.8 mm (implant A); it lists 3.5, 4.1 mm: "
        "measure the platform again, or add its parts to the Shelf."
    )
    states = {part["state"] for option in data["options"] for part in option["parts"]}
    assert states == {"not on the Shelf"}
