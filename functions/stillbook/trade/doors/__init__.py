"""Doors: their mass, make-up, hinges, swing and leaks."""
