"""Files handed in are read strictly; each refusal is one sentence with its place and a way out."""

from typing import Annotated, Literal

import pytest
from pydantic import Field, model_validator

from features.input_file import BadInput, StrictModel, check, read_json


class Round(StrictModel):
    kind: Literal["round"]
    size_mm: float = Field(gt=0)


class Flat(StrictModel):
    kind: Literal["flat"]
    ends: tuple[float, float]


class Part(StrictModel):
    shape: Annotated[Round | Flat, Field(discriminator="kind")]
    name: str = "part"

    @model_validator(mode="after")
    def _has_a_name(self):
        if not self.name:
            raise ValueError("the part has no name; give it one")
        return self


class Parts(StrictModel):
    parts: tuple[Part, ...] = Field(min_length=1)
    open: bool = False


ROUND = {"kind": "round", "size_mm": 1}


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        ({"parts": [{"shape": ROUND}], "colour": 1}, "'colour' is not a known entry; remove it"),
        (
            {"parts": [{"shape": ROUND | {"depth": 2}}]},
            "'parts[0].shape.depth' is not a known entry",
        ),
        ({}, "'parts' is missing; add it"),
        ({"parts": [{"shape": {"kind": "round"}}]}, "'parts[0].shape.size_mm' is missing; add it"),
        (
            {"parts": [{"shape": {"kind": "flat", "ends": [1]}}]},
            "'parts[0].shape.ends[1]' is missing; add it",
        ),
        (
            {"parts": [{"shape": {"kind": "round", "size_mm": 0}}]},
            "'parts[0].shape.size_mm' must be greater than 0 (got 0); correct it",
        ),
        (
            {"parts": [{"shape": {"kind": "round", "size_mm": float("nan")}}]},
            "'parts[0].shape.size_mm' must be a finite number (got nan); correct it",
        ),
        (
            {"parts": [{"shape": {"kind": "oval"}}]},
            "'kind' in 'parts[0].shape' must be one of 'round', 'flat' (got 'oval'); correct it",
        ),
        ({"parts": [{"shape": {}}]}, "'kind' is missing in 'parts[0].shape'; add it"),
        (
            {"parts": [{"shape": 3}]},
            "'parts[0].shape' must be a group of entries in braces (got 3); correct it",
        ),
        (
            {"parts": [{"shape": ROUND, "name": 36}]},
            "'parts[0].name' must be text in quotes (got 36); correct it",
        ),
        (
            {"parts": [{"shape": ROUND, "name": ""}]},
            "'parts[0]': the part has no name; give it one",
        ),
        ([], "'the whole file' must be a group of entries in braces (got []); correct it"),
        ({"parts": []}, "'parts' tuple should have at least 1 item"),
        ({"parts": [{"shape": ROUND}], "open": "x" * 500}, "'open' must be a valid boolean"),
    ],
)
def test_the_first_wrong_entry_is_named_with_a_way_out(data, expected):
    with pytest.raises(BadInput) as caught:
        check(Parts, data, "parts.json")
    sentence = str(caught.value)
    assert sentence.startswith(f"parts.json: {expected}")
    assert_is_one_sentence(sentence)


def assert_is_one_sentence(sentence):
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert ". " not in sentence
    assert "; " in sentence
    assert len(sentence) < 250


def test_a_good_file_is_taken_and_cannot_be_changed():
    parts = check(Parts, {"parts": [{"shape": ROUND}]}, "parts.json")
    with pytest.raises(ValueError, match="frozen"):
        parts.open = True


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "is empty; save it again"),
        (b" \n", "is empty; save it again"),
        (b"{", "is not JSON (line 1, column 2: "),
        (b'{"a": 1,}', "is not JSON (line 1, column "),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "is not text (UTF-8); choose the .json file"),
        (b"[" * 200_000, "is no sensible JSON; "),
        (b"9" * 5000, "is no sensible JSON; "),
    ],
)
def test_what_is_no_json_is_refused(tmp_path, content, expected):
    path = tmp_path / "parts.json"
    path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        read_json(path, "parts list")
    sentence = str(caught.value)
    assert sentence.startswith(f"{path}: this parts list {expected}")
    assert_is_one_sentence(sentence.removeprefix(f"{path}: "))


def test_paths_that_are_no_file_are_refused(tmp_path):
    with pytest.raises(BadInput, match="there is no such parts list; check the path"):
        read_json(tmp_path / "none.json", "parts list")
    with pytest.raises(BadInput, match=r"cannot be read .*; check the path"):
        read_json(tmp_path, "parts list")


def test_a_byte_order_mark_does_no_harm(tmp_path):
    path = tmp_path / "parts.json"
    path.write_bytes(b'\xef\xbb\xbf{"open": true}')
    assert read_json(path, "parts list") == {"open": True}
