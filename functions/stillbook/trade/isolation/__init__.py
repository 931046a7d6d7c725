"""Isolation of walls, leaves, leaks and what is heard through them."""
