"""The rule on a cell that is typed into: what a spreadsheet program takes there, and what it says while one types."""

from __future__ import annotations

from openpyxl.worksheet.datavalidation import DataValidation

from stillbook.workbook.job.inputs import InputSpec


def typing_rule(spec: InputSpec, limits: str) -> DataValidation:
    """The rule for the cells of an input, which its cells are yet to be added to.

    Args:
        spec: The input; one without choices, list, limits or longest text takes anything.
        limits: Its limits in words, where it has them.
    """
    rule = DataValidation()
    if spec.choices:
        rule = DataValidation("list", formula1='"' + ",".join(spec.choices) + '"')
        rule.error = f"Choose one of: {', '.join(spec.choices)}."[:250]
    elif spec.options:
        rule = DataValidation("list", formula1=spec.options)
        rule.error = "Choose from the list."
    elif spec.least is not None and spec.most is not None:
        first, last = f"{spec.least:.10g}", f"{spec.most:.10g}"
        rule = DataValidation("decimal", operator="between", formula1=first, formula2=last)
        rule.error = f"Write a number from {limits}."
    elif spec.longest is not None:
        rule = DataValidation("textLength", operator="lessThanOrEqual", formula1=str(spec.longest))
        rule.error = f"Write at most {spec.longest} characters."
    rule.allow_blank = True
    rule.showErrorMessage = not (spec.free or spec.material)
    rule.errorTitle = rule.promptTitle = spec.label[:32]
    rule.prompt = (spec.help or spec.label)[:250]
    rule.showInputMessage = True
    return rule
