"""The bytes of a workbook: its package and parts read within bounds, changed where cells change, and saved whole."""
