"""Tests of the workbook file: package, calculation, inputs and results."""
