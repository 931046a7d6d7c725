"""The numbers of a workbook: the engine, the spellings of a formula, and the reasons for errors."""
