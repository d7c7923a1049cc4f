"""`radiofixture simulate`: which films to draw, and where to."""

from __future__ import annotations

from pathlib import Path

from features.input_file import BadInput


def draw_films(family: str | None, seed: int, level: str, number: int, out: Path) -> list[str]:
    """Draw `number` films with seeds from `seed` on, of one family or of all in turn.

    Returns
    -------
    The stems written into `out`.

    Raises
    ------
    BadInput
        Unknown family or level, or a folder that cannot be written.
    """
    from sample_images.imaging import LEVELS  # noqa: PLC0415 - slow to import
    from sample_images.simulate import FAMILIES, simulate, write  # noqa: PLC0415 - the same

    known = sorted(FAMILIES)
    _choose("--family", family, known)
    _choose("--level", level, LEVELS)
    turn = known if family is None else [family]
    try:
        out.mkdir(parents=True, exist_ok=True)
        return [
            str(write(simulate(turn[index % len(turn)], seed + index, level), out))
            for index in range(number)
        ]
    except OSError as error:
        raise BadInput(
            f"{out}: cannot be written ({error.strerror}); name a folder of your own."
        ) from None


def _choose(option: str, value: str | None, known: tuple[str, ...] | list[str]) -> None:
    if value is not None and value not in known:
        raise BadInput(f"'{option}' cannot be '{value}'; use one of {', '.join(known)}.")
