"""A JSON file somebody hands in: read strictly, refused in one sentence."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

Model = TypeVar("Model", bound=BaseModel)
LONGEST_SHOWN = 60  # characters of a wrong value that a sentence repeats


class BadInput(ValueError):  # noqa: N818 - reads as what it is in a sentence
    """An input file that cannot be used; the message says what, where and the way out."""


class StrictModel(BaseModel):
    """Base of every file contract: unknown keys refused by name, values frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


def read_json(path: Path, what: str) -> Any:
    """Read a JSON file (`what` names it to a person: "marks file").

    Raises
    ------
    BadInput
        Missing, empty or not JSON.
    """
    text = _text(path, what)
    if not text.strip():
        raise BadInput(f"{path}: this {what} is empty; save it again from the app.")
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        raise BadInput(
            f"{path}: this {what} is not JSON (line {error.lineno}, column {error.colno}: "
            f"{error.msg}); save it again from the app."
        ) from None
    except (ValueError, RecursionError):  # numbers of thousands of digits; thousands of brackets
        raise BadInput(
            f"{path}: this {what} is no sensible JSON; save it again from the app."
        ) from None


def _text(path: Path, what: str) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")  # some editors put a mark before the text
    except FileNotFoundError:
        raise BadInput(f"{path}: there is no such {what}; check the path.") from None
    except UnicodeDecodeError:
        raise BadInput(
            f"{path}: this {what} is not text (UTF-8); choose the .json file, not the film."
        ) from None
    except OSError as error:
        raise BadInput(
            f"{path}: this {what} cannot be read ({error.strerror}); check the path."
        ) from None


def check(model: type[Model], data: Any, what: str) -> Model:
    """Validate `data` against a file contract.

    Raises
    ------
    BadInput
        One sentence naming the first entry that is wrong.
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise BadInput(f"{what}: {_sentence(error, data)}") from None


def _sentence(error: ValidationError, data: Any) -> str:
    first = error.errors()[0]
    kind, message, value = first["type"], first["msg"], first.get("input")
    where = _where(first["loc"], data, last_is_missing=kind == "missing")
    if kind == "extra_forbidden":
        return f"'{where}' is not a known entry; remove it or correct its spelling."
    if kind == "missing":
        return f"'{where}' is missing; add it."
    if kind == "value_error":  # our own words, with their own way out
        return f"'{where}': {message.removeprefix('Value error, ')}."
    if kind == "union_tag_not_found":
        return f"{first['ctx']['discriminator']} is missing in '{where}'; add it."
    if kind == "union_tag_invalid":
        allowed, key = first["ctx"]["expected_tags"], first["ctx"]["discriminator"]
        return (
            f"{key} in '{where}' must be one of {allowed}{_got(first['ctx']['tag'])}; correct it."
        )
    return f"'{where}' {_rule(kind, message)}{_got(value)}; correct it."


def _rule(kind: str, message: str) -> str:
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return "must be a group of entries in braces"
    rule = message.replace("Input should be", "must be").replace("a valid string", "text in quotes")
    return rule[:1].lower() + rule[1:]


def _where(places: tuple[int | str, ...], data: Any, *, last_is_missing: bool) -> str:
    """Where in the file, as a person would write it: ``implants[0].apex_px``.

    pydantic also names the chosen member of a union, which the file does not; it is left out.
    """
    path = ""
    for number, place in enumerate(places, start=1):
        inside = _holds(data, place)
        if inside or (last_is_missing and number == len(places)):
            path += f"[{place}]" if isinstance(place, int) else f".{place}"
        if inside:
            data = data[place]
    return path.lstrip(".") or "the whole file"


def _holds(data: Any, place: int | str) -> bool:
    if isinstance(data, dict):
        return place in data
    return isinstance(data, list | tuple) and isinstance(place, int) and place < len(data)


def _got(value: Any) -> str:
    text = repr(value)
    if isinstance(value, dict | list | tuple) and len(text) > LONGEST_SHOWN:
        return ""
    return f" (got {text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + '…'})"
