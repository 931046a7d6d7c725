"""Cables, boxes, holes and circuits."""
