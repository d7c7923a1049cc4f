"""Walls drawn as formulas, and the comb that a thread would leave along them."""

import numpy as np

from features.outline import Outline
from features.quantity import from_parts
from features.threads import Thread

Z = np.arange(0.0, 301.0)
PITCH = 30.0
CRESTS = tuple(PITCH * n for n in range(1, 10))


def outline(left, right):
    even = np.full(len(Z), 0.1)
    return Outline(Z, left, right, even, even, 0.01)


def thread(share=0.6, stagger=0.5, std=0.05, crests=CRESTS):
    pitch = from_parts(PITCH, "px", edge=0.1)
    return Thread(pitch, 0.5, share, 0.02, stagger, std, 15.0, 285.0, crests, crests)


def wave(amplitude, phase=0.0):
    return 60 + amplitude * np.cos(2 * np.pi * (Z / PITCH - phase))
