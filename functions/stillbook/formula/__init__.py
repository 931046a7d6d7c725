"""One declaration a formula: what every workbook host shows of it, and how it is called.

A trade function is plain Python on SI values. Its annotations say how a workbook cell becomes an argument and how
the result becomes cells; ``@formula`` reads them, and :class:`Formula` applies them to what a workbook gives.
"""

from stillbook.formula.call import Formula
from stillbook.formula.declare import DECLARED, formula
from stillbook.formula.describe import PREFIX, Example, Family, Parameter, both, without_units

__all__ = ["DECLARED", "PREFIX", "Example", "Family", "Formula", "Parameter", "both", "formula", "without_units"]
