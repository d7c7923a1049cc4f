"""The six films of the demo practice, made again from their seeds."""

from __future__ import annotations

from pathlib import Path

from sample_images.simulate import simulate, write

FOLDER = Path(__file__).with_name("demo")
# (family, seed, scale): all clinical; of eight seeds each, one that shows the family well and that
# is read within the limits a demo is held to. How often that succeeds is in tests/benchmarks; a
# length marked by hand is 1-3 % off, which no reading can mend.
DEMO: tuple[tuple[str, int, str], ...] = (
    ("pressfit_cylinder_plain_bore", 3, "ball"),
    ("hollow_basket", 5, "ball"),
    ("plateau_locking_taper", 3, "ball"),
    ("external_hex_parallel", 4, "ball"),
    ("tissue_level_cone", 8, "ball"),
    ("bone_level_cone", 4, "line"),
)


def write_demo(folder: Path = FOLDER) -> tuple[str, ...]:
    """Write the demo films with their marks and truth (8-bit, to keep them small)."""
    return tuple(
        write(simulate(family, seed, "clinical", scale=scale), folder, "png8")
        for family, seed, scale in DEMO
    )


if __name__ == "__main__":
    write_demo()
