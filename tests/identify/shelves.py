"""A small invented shelf, made row by row."""

from identify.knowledge import load_notes
from identify.shelf import Part, Shelf, Size
from sample_images.demo_films import FOLDER

NOTES = load_notes()
DEMO = FOLDER / "shelf.toml"
FAMILY = "external_hex_parallel"


def size(name="4.0", **more):
    row = {"system": "Alder", "family": FAMILY, "size": name, "platform_width_mm": 4.0}
    return Size.model_validate(row | more)


def part(kind="replica", **more):
    row = {"system": "Alder", "kind": kind, "platform_width_mm": 4.0, "state": "in stock"}
    return Part.model_validate(row | more)


def shelf(*rows):
    return Shelf(
        tuple(row for row in rows if isinstance(row, Size)),
        tuple(row for row in rows if isinstance(row, Part)),
    )
