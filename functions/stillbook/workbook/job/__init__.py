"""One estimate in a workbook: its inputs, results, lines and checks."""
