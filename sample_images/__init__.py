"""Simulated films with exact truth. Imports nothing of ours: it is the independent judge."""
