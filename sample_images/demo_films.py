"""The six films of the demo practice, made again from their seeds."""

from __future__ import annotations

from pathlib import Path

from sample_images.simulate import simulate, write

FOLDER = Path(__file__).with_name("demo")
# (family, seed, scale): all clinical; seeds chosen for variety. A length marked by hand is 1-3 %
# off, so the last one was also chosen for a hand within 2 %, which a demo held to that needs.
DEMO: tuple[tuple[str, int, str], ...] = (
    ("pressfit_cylinder_plain_bore", 3, "ball"),
    ("hollow_basket", 4, "ball"),
    ("plateau_locking_taper", 10, "ball"),
    ("external_hex_parallel", 13, "ball"),
    ("tissue_level_cone", 5, "ball"),
    ("bone_level_cone", 23, "line"),
)


def write_demo(folder: Path = FOLDER) -> tuple[str, ...]:
    """Write the demo films with their marks and truth (8-bit, to keep them small)."""
    return tuple(
        write(simulate(family, seed, "clinical", scale=scale), folder, "png8")
        for family, seed, scale in DEMO
    )


if __name__ == "__main__":
    write_demo()
