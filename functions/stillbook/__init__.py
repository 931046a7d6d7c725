"""Stillbook: the arithmetic of small sound-isolated rooms, as workbook formulas."""

__version__ = "0.1.0"
