"""Films drawn with flat shapes: bone below air, with a body, a post in a root or a tooth in it."""

import numpy as np
from scipy import ndimage

HEIGHT, WIDTH = 500, 380
CREST = 170  # row where bone begins
CENTRE = (190.0, 260.0)  # inside whatever is drawn
AIR, BONE, DENTINE, METAL = 0.08, 0.4, 0.62, 0.92


def bone_film():
    """Air above bone, sharp and without grain."""
    film = np.full((HEIGHT, WIDTH), AIR, dtype=np.float32)
    film[CREST:] = BONE
    return finished(film)


def finished(film):
    """A little blur and grain."""
    grain = np.random.default_rng(3).normal(0, 0.012, film.shape)
    return np.clip(ndimage.gaussian_filter(film, 1.2) + grain, 0, 1).astype(np.float32)


def bar(film, half, top, foot, grey, taper=0.0):
    """An upright bar about the middle column, narrowing toward its foot."""
    y, x = np.mgrid[: film.shape[0], : film.shape[1]]
    reach = half * (1 - taper * (y - top) / (foot - top))
    new = film.copy()
    new[(np.abs(x - CENTRE[0]) <= reach) & (y >= top) & (y <= foot)] = grey
    return new


def drawn_body(film):
    """A metal body from just below the crest down."""
    return finished(bar(film, 26, CREST + 5, 370, METAL, taper=0.1))


def drawn_post(film):
    """A thin metal post in a root, with its crown."""
    rooted = bar(film, 42, 120, 400, DENTINE, taper=0.45)
    return finished(bar(rooted, 13, 130, 300, METAL, taper=0.3))


def drawn_tooth(film):
    """A root with an enamel crown."""
    rooted = bar(film, 40, 120, 400, DENTINE, taper=0.6)
    return finished(bar(rooted, 52, 60, 140, 0.8))
