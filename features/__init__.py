"""Pixels in, measurements out. Pure functions; no screens, no families."""
