"""A workbook file: its package, its calculation without a spreadsheet program, its inputs and results."""


class WorkbookError(Exception):
    """Something about a workbook that its user can put right; the message is one line that says how."""


CALCULATION = "stillbook-calculation"
"""The name of the thread in which a workbook is calculated."""
