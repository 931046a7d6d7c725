"""What a value is, of each of many: the engine answers for single values, and these over ranges (OpenFormula)."""

from __future__ import annotations

from typing import Final

from stillbook.workbook.calculation.answers import is_number, kind_of
from stillbook.workbook.calculation.definitions.cell_values import each

FUNCTIONS: Final = {
    name: each(test, passes_errors=False)
    for name, test in {
        "ISNUMBER": is_number,
        "ISTEXT": lambda value: isinstance(value, str),
        "ISNONTEXT": lambda value: not isinstance(value, str),
        "ISLOGICAL": lambda value: isinstance(value, bool),
        "ISBLANK": lambda value: value is None,
        "ISERROR": lambda value: bool(kind_of(value)),
        "ISERR": lambda value: kind_of(value) not in ("", "Na"),
        "ISNA": lambda value: kind_of(value) == "Na",
    }.items()
}
