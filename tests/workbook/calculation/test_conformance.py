"""Native functions that templates rely on, each with the value its definition gives.

An upgrade of the engine that changes a value is seen here. Sources: OpenFormula is OpenDocument 1.3 part 4 (OASIS), by
the name of the function or operator; ECMA is ECMA-376 part 1, 18.17; Microsoft is the function's reference page. Values
follow from the definitions by plain arithmetic. LibreOffice, an implementation of its own, is asked the same questions.
"""

import datetime
import re

import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.workbook.calculation.admitted import ADMITTED
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package
from workbook import books, office

CELLS = {
    **{f"A{row}": value for row, value in enumerate([3, 1, 4, 1, 5, 9], start=1)},
    **{f"B{row}": value for row, value in enumerate(["board", "wool", "Board", "lead", "wool", "seal"], start=1)},
    **{f"C{row}": value for row, value in enumerate([10, 20, 30, 40, 50, 60], start=1)},
    "D1": "text",
    "D2": True,
    # D3 stays blank
    "D4": "=1/0",
    "D5": "=NA()",
    "D6": '=""',
    "D7": datetime.date(2024, 1, 31),
    "D8": "12",
}
ERRORS = {code.value: ErrorValue(code) for code in Code}

TABLE = [
    # formula, value, source
    ("SUM(A1:A6)", 23, "OpenFormula SUM"),
    ("SUM(A1:A6,D1:D3)", 23, "OpenFormula SUM: text, truth values and blanks in a range do not count"),
    ("SUM(A1,TRUE)", 4, "OpenFormula SUM: a truth value written out counts as 1"),
    ("SUM(A1:A6,D4)", "#DIV/0!", "OpenFormula SUM: an error goes through"),
    ("SUMIFS(C1:C6,B1:B6,\"wool\")", 70, "OpenFormula SUMIFS"),
    ("SUMIFS(C1:C6,B1:B6,\"BOARD\")", 40, "OpenFormula SUMIFS: case does not matter"),
    ("SUMIFS(C1:C6,A1:A6,\">=3\",C1:C6,\"<50\")", 40, "OpenFormula SUMIFS"),
    ("SUMIFS(C1:C6,A1:A6,\"<>1\")", 150, "OpenFormula SUMIFS"),
    ("SUMIF(A1:A6,\">3\",C1:C6)", 140, "OpenFormula SUMIF"),
    ("SUMIF(A1:A6,\">3\")", 18, "OpenFormula SUMIF"),
    ("SUMPRODUCT(A1:A3,C1:C3)", 170, "OpenFormula SUMPRODUCT"),
    ("SUMPRODUCT((A1:A6>2)*C1:C6)", 150, "OpenFormula SUMPRODUCT"),
    ("SUMPRODUCT(C7:C8,D7:D8)", 0, "Microsoft SUMPRODUCT: what is no number counts as 0, digits as text too"),
    ("SUMPRODUCT(A1:A2,B1:B2)+SUMPRODUCT(D8:D8,A1:A1)", 0, "Microsoft SUMPRODUCT: text counts as 0"),
    ("SUMPRODUCT(A1:A2,{\"7\";2})", 2, "Microsoft SUMPRODUCT: text counts as 0"),
    ("SUMPRODUCT(--(B1:B6=\"wool\"),C1:C6)", 70, "OpenFormula SUMPRODUCT, infix ="),
    ("COUNT(A1:D3)", 6, "OpenFormula COUNT: numbers in ranges only"),
    ("COUNT(A1:A3,1/0,MATCH(77,A1:A6,0),5)", 4, "OpenFormula COUNT: errors are not counted"),
    ("IFERROR(COUNT(A1:A2,SMALL(A1:A3,0)),99)", 2, "OpenFormula COUNT: errors are not counted"),
    ("COUNT(1,NA())+COUNT(-A1,A1+1,B1&\"5\")", 3, "OpenFormula COUNT: errors and text are not counted"),
    ("COUNTA(D1:D8)", 7, "OpenFormula COUNTA: errors and empty text count"),
    ("COUNTIF(B1:B6,\"w*\")", 2, "OpenFormula COUNTIF with wildcards; ECMA COUNTIF"),
    ("COUNTIF(A1:A6,1)", 2, "OpenFormula COUNTIF"),
    ("COUNTIFS(A1:A6,\">1\",C1:C6,\">20\")", 3, "OpenFormula COUNTIFS"),
    ("COUNTBLANK(D1:D3)", 1, "OpenFormula COUNTBLANK"),
    ("AVERAGE(A1:A6)", 23 / 6, "OpenFormula AVERAGE"),
    ("MIN(A1:A6)", 1, "OpenFormula MIN"),
    ("MAX(A1:A6)", 9, "OpenFormula MAX"),
    ("MAX(D1:D3)", 0, "OpenFormula MAX: 0 without numbers; ECMA MAX"),
    ("LARGE(A1:A6,2)", 5, "OpenFormula LARGE"),
    ("SMALL(A1:A6,3)", 3, "OpenFormula SMALL"),
    ("MEDIAN(A1:A6)", 3.5, "OpenFormula MEDIAN"),
    ("MEDIAN(A1,D1,D3,A5)", 4, "OpenFormula MEDIAN: text and blanks in references do not count"),
    ("RANK(5,A1:A6,1)", 5, "OpenFormula RANK: ascending where order is not 0"),
    ("RANK(1,A1:A6,1)", 1, "OpenFormula RANK: equals share the first place"),
    ("SUMPRODUCT((A1:C1=3)*(A1:C6>0))", 6, "OpenFormula 3.3: a row is repeated to fit a block"),
    ("INDEX(A1:C6,3,3)", 30, "OpenFormula INDEX"),
    ("SUM(INDEX(A1:C6,0,3))", 210, "OpenFormula INDEX: row 0 stands for all rows"),
    ("INDEX(A1:A6,7)", "#REF!", "OpenFormula INDEX: outside is an error; ECMA INDEX: #REF!"),
    ("SUM(INDEX(A1:C6,0,1))", 23, "OpenFormula INDEX: row 0 is the whole column"),
    ("SUM(A1:INDEX(A1:A6,3))", 8, "OpenFormula INDEX gives a reference"),
    ("MATCH(4,A1:A6,0)", 3, "OpenFormula MATCH"),
    ("MATCH(\"BOARD\",B1:B6,0)", 1, "OpenFormula MATCH: case does not matter"),
    ("MATCH(35,C1:C6,1)", 3, "OpenFormula MATCH: largest not above, sorted"),
    ("MATCH(35,C1:C6)", 3, "OpenFormula MATCH: sorted when left out"),
    ("MATCH(7,A1:A6,0)", "#N/A", "OpenFormula MATCH: no match"),
    ("INDEX(C1:C6,MATCH(\"lead\",B1:B6,0))", 40, "OpenFormula INDEX, MATCH"),
    ("VLOOKUP(5,A1:C6,3,FALSE)", 50, "OpenFormula VLOOKUP"),
    ("VLOOKUP(6,A1:C6,3,FALSE)", "#N/A", "OpenFormula VLOOKUP: no match"),
    ("VLOOKUP(25,C1:D6,1)", 20, "OpenFormula VLOOKUP: sorted when left out"),
    ("HLOOKUP(1,A2:C3,2,FALSE)", 4, "OpenFormula HLOOKUP"),
    ("CHOOSE(2,\"a\",\"b\",\"c\")", "b", "OpenFormula CHOOSE"),
    ("IF(A1>2,\"yes\",\"no\")", "yes", "OpenFormula IF"),
    ("IF(D3,1,2)", 2, "OpenFormula IF: a blank is false"),
    ("IF(TRUE,1,1/0)", 1, "OpenFormula IF: the other branch is not taken"),
    ("IF(D4,1,2)", "#DIV/0!", "OpenFormula IF: an error goes through"),
    ("IFERROR(D4,7)", 7, "OpenFormula IFERROR"),
    ("IFERROR(A1,7)", 3, "OpenFormula IFERROR"),
    ("IFNA(D5,7)", 7, "OpenFormula IFNA"),
    ("IFNA(D4,7)", "#DIV/0!", "OpenFormula IFNA: other errors go through"),
    ("AND(TRUE,A1=3)", True, "OpenFormula AND"),
    ("AND(TRUE,A1=4)", False, "OpenFormula AND"),
    ("OR(FALSE,A1=3)", True, "OpenFormula OR"),
    ("OR(FALSE,D4)", "#DIV/0!", "OpenFormula OR: an error goes through"),
    ("NOT(A1=3)", False, "OpenFormula NOT"),
    ("ROUND(2.5,0)", 3, "OpenFormula ROUND: half away from zero"),
    ("ROUND(-2.5,0)", -3, "OpenFormula ROUND: half away from zero"),
    ("ROUND(1234.567,-2)", 1200, "OpenFormula ROUND"),
    ("ROUND(2.345,2)", 2.35, "ECMA ROUND: the decimal digits shown decide"),
    ("ROUNDUP(2.001,0)", 3, "OpenFormula ROUNDUP"),
    ("ROUNDUP(-2.001,0)", -3, "OpenFormula ROUNDUP: away from zero"),
    ("ROUNDUP(12,0)", 12, "OpenFormula ROUNDUP"),
    ("ROUNDDOWN(-2.9,0)", -2, "OpenFormula ROUNDDOWN: towards zero"),
    ("CEILING(7,4)", 8, "OpenFormula CEILING"),
    ("CEILING(8,4)", 8, "OpenFormula CEILING"),
    ("CEILING(0.3,0.1)", 0.3, "OpenFormula CEILING"),
    ("FLOOR(7,4)", 4, "OpenFormula FLOOR"),
    ("INT(-2.1)", -3, "OpenFormula INT: down"),
    ("TRUNC(-2.9)", -2, "OpenFormula TRUNC"),
    ("MOD(7,4)", 3, "OpenFormula MOD"),
    ("MOD(-7,4)", 1, "OpenFormula MOD: the sign of the divisor"),
    ("ABS(-3)", 3, "OpenFormula ABS"),
    ("SQRT(16)", 4, "OpenFormula SQRT"),
    ("SQRT(-1)", "#NUM!", "OpenFormula SQRT; ECMA: #NUM!"),
    ("LOG10(1000)", 3, "OpenFormula LOG10"),
    ("PI()", 3.141592653589793, "OpenFormula PI"),
    ("ISNUMBER(A1)", True, "OpenFormula ISNUMBER"),
    ("ISNUMBER(D8)", False, "OpenFormula ISNUMBER: text of digits is text"),
    ("ISTEXT(D6)", True, "OpenFormula ISTEXT: empty text is text"),
    ("ISBLANK(D3)", True, "OpenFormula ISBLANK"),
    ("ISBLANK(D6)", False, "OpenFormula ISBLANK: empty text is not blank"),
    ("ISERROR(D4)", True, "OpenFormula ISERROR"),
    ("ISERROR(D5)", True, "OpenFormula ISERROR: #N/A too"),
    ("ISERR(D5)", False, "OpenFormula ISERR: but not #N/A"),
    ("ISNA(D5)", True, "OpenFormula ISNA"),
    ("ERROR.TYPE(D5)", 7, "OpenFormula ERROR.TYPE"),
    ("NA()", "#N/A", "OpenFormula NA"),
    ("N(D1)", 0, "OpenFormula N: text is 0"),
    ("N(D2)", 1, "OpenFormula N: TRUE is 1"),
    ("N(D7)", 45322, "OpenFormula N, DATE: days since 1899-12-30"),
    ("D3+1", 1, "OpenFormula: a blank cell is 0 in a sum"),
    ("D3=0", True, "OpenFormula infix =: a blank cell equals 0"),
    ("D3=\"\"", True, "OpenFormula infix =: and equals empty text"),
    ("D6=\"\"", True, "OpenFormula infix ="),
    ("D3&\"x\"", "x", "OpenFormula infix &: a blank is empty text"),
    ("A1&\" × \"&A3&\" in\"", "3 × 4 in", "OpenFormula infix &"),
    ("1/8&\"\"", "0.125", "OpenFormula infix &: a number becomes text"),
    ("\"a\"=\"A\"", True, "OpenFormula infix =: case does not matter"),
    ("EXACT(\"a\",\"A\")", False, "OpenFormula EXACT"),
    ("\"b\">\"a\"", True, "OpenFormula ordered comparison"),
    ("A1<>3", False, "OpenFormula infix <>"),
    ("25%", 0.25, "OpenFormula postfix %"),
    ("200*5%", 10, "OpenFormula postfix %"),
    ("-2^2", 4, "OpenFormula operator precedence: the sign binds first"),
    ("2^3^2", 64, "OpenFormula operator precedence: from the left"),
    ("2+3*4", 14, "OpenFormula operator precedence"),
    ("A1/D3", "#DIV/0!", "OpenFormula infix /"),
    ("A1+D1", "#VALUE!", "OpenFormula: text that is no number; ECMA: #VALUE!"),
    ("TEXT(1234.5,\"#,##0.00\")", "1,234.50", "OpenFormula TEXT; ECMA number formats"),
    ("TEXT(0.256,\"0%\")", "26%", "OpenFormula TEXT; ECMA number formats"),
    ("TEXT(7,\"000\")", "007", "OpenFormula TEXT; ECMA number formats"),
    ("TEXT(D7,\"yyyy-mm-dd\")", "2024-01-31", "OpenFormula TEXT; ECMA number formats"),
    ("TEXT(D7,\"d mmmm yyyy\")", "31 January 2024", "OpenFormula TEXT; ECMA number formats"),
    ("TEXT(4.4,\"0.0\")&\" lb/ft²\"", "4.4 lb/ft²", "OpenFormula TEXT"),
    ("TEXT(1/8,\"0.###\")", "0.125", "ECMA number formats"),
    ("FIXED(1234.567,1)", "1,234.6", "OpenFormula FIXED"),
    ("VALUE(\"12.5\")", 12.5, "OpenFormula VALUE"),
    ("LEFT(\"Passes\",4)", "Pass", "OpenFormula LEFT"),
    ("RIGHT(\"Passes\",2)", "es", "OpenFormula RIGHT"),
    ("MID(\"Passes\",2,3)", "ass", "OpenFormula MID"),
    ("LEN(\"ft²\")", 3, "OpenFormula LEN"),
    ("UPPER(\"ft\")", "FT", "OpenFormula UPPER"),
    ("LOWER(\"FT\")", "ft", "OpenFormula LOWER"),
    ("PROPER(\"door leaf\")", "Door Leaf", "OpenFormula PROPER"),
    ("TRIM(\"  a   b \")", "a b", "OpenFormula TRIM"),
    ("SUBSTITUTE(\"a-b-c\",\"-\",\"+\")", "a+b+c", "OpenFormula SUBSTITUTE"),
    ("FIND(\"b\",\"abc\")", 2, "OpenFormula FIND"),
    ("SEARCH(\"B\",\"abc\")", 2, "OpenFormula SEARCH: case does not matter"),
    ("REPT(\"ab\",3)", "ababab", "OpenFormula REPT"),
    ("CHAR(65)", "A", "OpenFormula CHAR"),
    ("TEXTJOIN(\", \",TRUE,\"a\",D3,\"b\")", "a, b", "Microsoft TEXTJOIN"),
    ("CONCAT(B1:B2)", "boardwool", "Microsoft CONCAT"),
    ("DATE(2024,2,29)", 45351, "OpenFormula DATE: days since 1899-12-30"),
    ("DATE(2024,14,1)", 45689, "OpenFormula DATE: months run over"),
    ("YEAR(D7)", 2024, "OpenFormula YEAR"),
    ("MONTH(D7)", 1, "OpenFormula MONTH"),
    ("DAY(D7)", 31, "OpenFormula DAY"),
    ("WEEKDAY(D7)", 4, "OpenFormula WEEKDAY: Sunday is 1; 2024-01-31 is a Wednesday"),
    ("EDATE(D7,1)", 45351, "OpenFormula EDATE: the last day of a shorter month"),
    ("EOMONTH(D7,1)", 45351, "OpenFormula EOMONTH"),
    ("WEEKDAY(D7,2)", 3, "OpenFormula WEEKDAY: Monday is 1"),
    ("WEEKDAY(D7,3)", 2, "OpenFormula WEEKDAY: Monday is 0"),
    ("WEEKDAY(D7,13)", 1, "Microsoft WEEKDAY: Wednesday is 1"),
    ("DATE(2024,-3,0)", 45169, "OpenFormula DATE: months and days run under"),
    ("DATE(1900,3,1)", 61, "OpenFormula DATE: the first day that all programs number alike"),
    ("DATE(10000,1,1)", "#NUM!", "Microsoft DATE: years to 9999"),
    ("DAY(61)", 1, "OpenFormula DAY: 1 March 1900"),
    ("TIME(25,30,0)*24", 1.5, "OpenFormula TIME: whole days are left out"),
    ("TIME(2,-30,0)*24", 1.5, "OpenFormula TIME"),
    ("HOUR(9/24)+MINUTE(45322+59/1440)+SECOND(45322+59/86400)", 127, "OpenFormula HOUR, MINUTE, SECOND"),
    ("MINUTE(0.1+0.2)", 12, "OpenFormula MINUTE"),
    ("SECOND(59.6/86400)", 0, "Microsoft SECOND: to the nearest"),
    ("TIME(-1,0,0)", "#NUM!", "Microsoft TIME: a time below nothing is an error"),
    ("SUMPRODUCT(YEAR(D7:D7+{0,1,366}))", 6073, "OpenFormula 3.3, YEAR"),
    ("D7+30", 45352, "OpenFormula: dates are days"),
    ("TODAY()-INT(NOW())", 0, "OpenFormula TODAY, NOW"),
    ("ROWS(A1:C6)", 6, "OpenFormula ROWS"),
    ("COLUMNS(A1:C6)", 3, "OpenFormula COLUMNS"),
    ("ROW(A5)", 5, "OpenFormula ROW"),
    ("COLUMN(C1)", 3, "OpenFormula COLUMN"),
    ("SUM(OFFSET(A1,1,0,3,1))", 6, "OpenFormula OFFSET"),
    ("INDIRECT(\"C\"&2)", 20, "OpenFormula INDIRECT"),
    ("ADDRESS(2,3)", "$C$2", "OpenFormula ADDRESS"),
    ("SUBTOTAL(9,A1:A6)", 23, "OpenFormula SUBTOTAL"),
    ("SUMPRODUCT(ROUND(C1:C3/7,0))", 8, "OpenFormula 3.3: each value of the array; ROUND"),
    ("SUMPRODUCT(INT(C1:C3/15))", 3, "OpenFormula 3.3, INT"),
    ("SUMPRODUCT(LOG10(C1:C3/C1:C3*100))", 6, "OpenFormula 3.3, LOG10"),
    ("SUMPRODUCT(--ISNUMBER(A1:C3))", 6, "OpenFormula 3.3, ISNUMBER"),
    ("SUMPRODUCT(LEN(B1:B3))", 14, "OpenFormula 3.3, LEN"),
    ("SUMPRODUCT(--(LEFT(B1:B6,1)=\"w\"))", 2, "OpenFormula 3.3, LEFT"),
    ("SUMPRODUCT(--ISNUMBER(SEARCH(\"o\",B1:B6)))", 4, "OpenFormula 3.3, SEARCH"),
    ("SUMPRODUCT(SUMIF(B1:B6,B1:B3,C1:C6))", 150, "OpenFormula 3.3, SUMIF"),
    ("SUMPRODUCT(1/COUNTIF(B1:B6,B1:B6))", 4, "OpenFormula 3.3, COUNTIF: how many differ"),
    ("SUMPRODUCT(MATCH(B4:B5,B1:B6,0))", 6, "OpenFormula 3.3, MATCH"),
    ("SUMPRODUCT((MOD(ROW(A1:A6),2)=0)*A1:A6)", 11, "OpenFormula 3.3, ROW, MOD"),
    ("SUM(LARGE(A1:A6,{1,2}))", 14, "OpenFormula 3.3, LARGE"),
    ("PMT(0.01,12,-1000)", 88.8487886783, "OpenFormula PMT: 1000 × 0.01 / (1 − 1.01^−12)"),
]  # fmt: skip

NEWER = [
    ("_xlfn.XLOOKUP(\"lead\",B1:B6,C1:C6)", 40, "Microsoft XLOOKUP"),
    ("_xlfn.XLOOKUP(\"none\",B1:B6,C1:C6,\"-\")", "-", "Microsoft XLOOKUP: what to show without a match"),
    ("_xlfn.XLOOKUP(35,C1:C6,A1:A6,,-1)", 4, "Microsoft XLOOKUP: the next smaller"),
    ("SUM(_xlfn._xlws.FILTER(C1:C6,B1:B6=\"wool\"))", 70, "Microsoft FILTER"),
    ("_xlfn.LET(_xlpm.x,A1,_xlpm.x*2)", 6, "Microsoft LET"),
    ("SUM(_xlfn.SEQUENCE(4))", 10, "Microsoft SEQUENCE"),
    ("_xlfn.IFS(A1>5,\"a\",A1>2,\"b\")", "b", "Microsoft IFS"),
    ("_xlfn.SWITCH(A1,1,\"one\",3,\"three\")", "three", "Microsoft SWITCH"),
    ("_xlfn.MAXIFS(C1:C6,B1:B6,\"wool\")", 50, "Microsoft MAXIFS"),
]  # fmt: skip
"""Functions of later programs, which LibreOffice 7.4 has not or in part."""

FIFTEEN = "Microsoft, Excel specifications: number precision 15 digits"
LIFTED = "OpenFormula 3.3: each value of the array"

DIGITS = [
    ('1/3&""', "0.333333333333333", FIFTEEN),
    ('0.1+0.2&" in"', "0.3 in", FIFTEEN),
    ("LEN(0.1+0.2)", 3, FIFTEEN),
    ("0.1+0.2=0.3", True, FIFTEEN),
    ("0.1+0.2<=0.3", True, FIFTEEN),
    ("0.1+0.2>0.3", False, FIFTEEN),
    ("0.1+0.2-0.3=0", True, FIFTEEN),
    ("A1*0.1>C3/100", False, FIFTEEN),
    ("SUMPRODUCT(--(A1:A6*0.1=C1:C6/100))", 1, FIFTEEN),
    ("SUMPRODUCT(--(A1:A1*0.1<=0.3))", 1, FIFTEEN),
    ("CEILING(0.1*3,0.1)", 0.3, "OpenFormula CEILING: 0.1 × 3 is 0.3"),
    ("ROUNDUP(0.1*3/0.1,0)", 3, "OpenFormula ROUNDUP: three packs of 0.1, no fourth"),
    ("ROUNDUP(0.1+0.2-0.3,0)", 0, FIFTEEN),
    ("FLOOR((0.1+0.7)*10,1)", 8, "OpenFormula FLOOR: 0.8 × 10 is 8"),
    ("INT((0.1+0.7)*10)", 8, "OpenFormula INT: 0.8 × 10 is 8"),
    ("MOD(0.3,0.1)", 0, "OpenFormula MOD: 0.3 is three times 0.1"),
    ("QUOTIENT(0.3,0.1)", 3, "OpenFormula QUOTIENT"),
    ("MROUND(7,4)", 8, "OpenFormula MROUND"),
    ("EVEN(-3)", -4, "OpenFormula EVEN: away from zero"),
    ("ODD(2)", 3, "OpenFormula ODD: away from zero"),
    ("1+A1*2=7", True, "OpenFormula operator precedence, infix ="),
    ("(A1>2)*(A2=1)+(A3=4)*1=2", True, "OpenFormula operator precedence, infix ="),
    ("\"É\"=\"é\"", True, "OpenFormula infix =: case does not matter"),
]  # fmt: skip
"""Comparing, joining and rounding, which look at fifteen digits of a number."""

OVER_RANGES = [
    ("SUMPRODUCT(--ISTEXT(B1:B6))", 6, f"{LIFTED}, ISTEXT"),
    ("SUMPRODUCT(--ISBLANK(D1:D8))", 1, f"{LIFTED}, ISBLANK: empty text is not blank"),
    ("SUMPRODUCT(--ISERROR(D1:D8))", 2, f"{LIFTED}, ISERROR"),
    ("SUMPRODUCT(--ISNA(D1:D8))", 1, f"{LIFTED}, ISNA"),
    ("SUMPRODUCT(--ISERR(D1:D8))", 1, f"{LIFTED}, ISERR"),
    ("SUMPRODUCT(--ISLOGICAL(D1:D6))", 1, f"{LIFTED}, ISLOGICAL"),
    ("SUMPRODUCT(--ISNONTEXT(B1:D1))", 1, f"{LIFTED}, ISNONTEXT"),
    ("SUMPRODUCT(ROUNDUP(C1:C3/7,0))", 10, f"{LIFTED}, ROUNDUP"),
    ("SUMPRODUCT(CEILING(C1:C3*0.01,0.1))", 0.6, f"{LIFTED}, CEILING"),
    ("SUMPRODUCT(--(TEXT(A1:A6,\"0.0\")=\"1.0\"))", 2, f"{LIFTED}, TEXT"),
    ("SUMPRODUCT(COUNTIFS(B1:B6,B1:B3,C1:C6,\">10\"))", 4, f"{LIFTED}, COUNTIFS"),
    ("SUMPRODUCT(--EXACT(B1:B6,\"board\"))", 1, f"{LIFTED}, EXACT"),
    ("SUMPRODUCT(VLOOKUP(C1:C3,C1:D3,1,FALSE))", 60, f"{LIFTED}, VLOOKUP"),
    ("SUM(C1:C6*A1:A6)", "#VALUE!", "OpenFormula 3.3: of a range an ordinary formula takes the cell of its own row"),
    ("SUM(FREQUENCY(A1:A6,{5;1;3})*{1;10;100;1000})", 1122, "OpenFormula FREQUENCY: in the order of the bins"),
    ("LOOKUP(2,1/(B1:B6=\"wool\"),C1:C6)", 50, "OpenFormula LOOKUP: the last that meets a condition"),
    ("LOOKUP(35,C1:C6,A1:A6)", 4, "OpenFormula LOOKUP"),
    ("HLOOKUP(4,A3:C4,2,FALSE)", 1, "OpenFormula HLOOKUP"),
    ("COUNTIF(B:B,\"wool\")", 2, "OpenFormula COUNTIF over a whole column"),
    ("SUMIF(B:B,\"wool\",C:C)", 70, "OpenFormula SUMIF over whole columns"),
    ("AVERAGEIF(B1:B6,\"wool\",C1:C6)", 35, "OpenFormula AVERAGEIF"),
    ("AVERAGEIFS(C1:C6,B1:B6,\"wool\",A1:A6,\"<5\")", 20, "OpenFormula AVERAGEIFS"),
    ("COUNTIF(B1:B6,\"<>wool\")", 4, "OpenFormula COUNTIF"),
    ("COUNTIF(D1:D8,\"\")", 2, "Microsoft COUNTIF: blank cells and empty texts"),
    ("TEXT(-3,\"0;(0)\")", "(3)", "ECMA number formats, sections"),
    ("TEXT(0.5,\"h:mm AM/PM\")", "12:00 PM", "ECMA number formats"),
    ("VALUE(\"1,234.5\")", 1234.5, "OpenFormula VALUE: groups of three digits"),
    ("IFERROR(VALUE(\"R05\"),0)", 0, "OpenFormula VALUE: a word that no number has"),
]  # fmt: skip
"""Functions of one value and of criteria over ranges."""

REFUSED = [
    # formula, its error, and words of the reason
    ("SUMIFS(C1:C6,B1:B5,\"wool\")", "#VALUE!", ""),
    ("COUNTIFS(B1:B6,\"wool\",A1:A5,1)", "#VALUE!", ""),
    ("AVERAGEIFS(C1:C6,A2:A6,1)", "#VALUE!", ""),
    ("_xlfn.MAXIFS(C1:C6,A2:A6,1)", "#VALUE!", ""),
    ("_xlfn.MINIFS(C1:C6,A2:A6,1)", "#VALUE!", ""),
    ("SUMIF(B1:B6,\"wool\",C1)", "#VALUE!", "two ranges of different size"),
    ("SUMPRODUCT(SUMIF(B1:B6,B1:B3,C1:C2))", "#VALUE!", "two ranges of different size"),
    ("SUMIF(B1:B6,\"1/2/2024\",C1:C6)", "#VALUE!", "may be read as a date"),
    ("COUNTIF(D1:D8,12)", "#VALUE!", "digits as text"),
    ("MATCH(5,B1:C6,0)", "#N/A", ""),
    ("MATCH(4,A1:A6,1)", "#VALUE!", "MATCH: it looks for the nearest in a list that is not sorted"),
    ("MATCH(\"m\",B1:B6)", "#VALUE!", "not sorted"),
    ("VLOOKUP(20,D1:D8,1)", "#VALUE!", "numbers, texts or errors together"),
    ("LOOKUP(12,D6:D8)", "#VALUE!", "numbers, texts or errors together"),
    ("VLOOKUP(4,A1:C6,2)", "#VALUE!", "not sorted"),
    ("IFERROR(MATCH(4,A1:A6,1),0)", "#VALUE!", "not sorted"),
    ("\"a-b\"<\"ab\"", "#VALUE!", "differs between programs"),
    ("INDEX(C1:C6,N(IF(1,{1,2})))", "#VALUE!", "INDEX with several places at once"),
    ("SUMPRODUCT(N(A1:A6))", "#VALUE!", "N of several cells"),
    ("SUMPRODUCT(D2:D3,C2:C3)", "#VALUE!", "SUMPRODUCT counts TRUE as 1 in some programs"),
    ("SUMPRODUCT(A1:A6>2)", "#VALUE!", "multiply it by 1"),
    ("SUMPRODUCT(A1:A3,C1:C2)", "#VALUE!", ""),
    ("MATCH(0.1+0.2,{0.1,0.2,0.3},0)", "#VALUE!", "which some programs take for the same and some do not"),
    ("VLOOKUP(0.3,{0.1,1;0.2,2;0.30000000000000004,3},2)", "#VALUE!", "ROUND both"),
    ("_xlfn.XLOOKUP(0.1+0.2,{0.1,0.2,0.3},{1,2,3})", "#VALUE!", "ROUND both"),
    ("12345678901234567890&\"\"", "#VALUE!", "more than sixteen figures"),
    ("MROUND(6.05,0.1)", "#VALUE!", "halfway between broken multiples"),
    ("LEN(UNICHAR(128512))", "#VALUE!", "count as one in some programs and as two"),
    ("LEFT(\"a\"&UNICHAR(128512),1)", "#VALUE!", "count as one in some programs and as two"),
    ("UPPER(\"Maß\")", "#VALUE!", "in its own way"),
    ("SUMPRODUCT(LEN(T(B1:B6)))", "#VALUE!", "T of several cells"),
    ("SUM(INDEX(C1:C6,{1,2}))", "#VALUE!", "INDEX with several places at once"),
    ("SUMPRODUCT(TIME(A1:A6,0,0))", "#VALUE!", "TIME over several values"),
    ("TEXT(0.5,\"# ?/?\")", "#VALUE!", "TEXT with the format"),
    ("TEXT(1234.5,\"0.00E+00\")", "#VALUE!", "TEXT with the format"),
    ("TEXT(5,\"[>3]0.0;0\")", "#VALUE!", "TEXT with the format"),
    ("LEFT(LINEST(A1:A6,C1:C6),4)", "#NAME?", "LINEST is not a function that is calculated here"),
    ("SUM(MMULT({1,2;3,4},{1;1}))", "#NAME?", "MMULT is not a function that is calculated here"),
    ("AGGREGATE(9,5,A1:A6)", "#NAME?", "AGGREGATE is not a function that is calculated here"),
    ("CHAR(200)", "#VALUE!", "use UNICHAR"),
    ("VALUE(\"1/2/2024\")", "#VALUE!", "may be read as a number, a date"),
    ("SUM(A1:A4 A3:A6)", "#VALUE!", "joins or crosses ranges"),
    ("SUM(S:S2!A1)", "#VALUE!", "goes through several sheets"),
    ("COUNTIF(A:A,\"<>3\")", "#VALUE!", "whole columns may count blank cells"),
]  # fmt: skip
"""What spreadsheet programs answer each in its own way, or the engine by a rule of its own: an error with its reason."""

ONE_OF_EACH = [
    ("SIGN(-2)", -1, "OpenFormula SIGN"),
    ("EXP(0)", 1, "OpenFormula EXP"),
    ("LN(EXP(2))", 2, "OpenFormula LN"),
    ("LOG(8,2)", 3, "OpenFormula LOG"),
    ("POWER(2,10)", 1024, "OpenFormula POWER"),
    ("ACOS(1)", 0, "OpenFormula ACOS"),
    ("ASIN(1)*2", 3.141592653589793, "OpenFormula ASIN"),
    ("ATAN(1)*4", 3.141592653589793, "OpenFormula ATAN"),
    ("ATAN2(1,1)*4", 3.141592653589793, "OpenFormula ATAN2: x comes first"),
    ("SIN(PI()/2)", 1, "OpenFormula SIN"),
    ("COS(0)", 1, "OpenFormula COS"),
    ("TAN(PI()/4)", 1, "OpenFormula TAN"),
    ("COSH(2)^2-SINH(2)^2", 1, "OpenFormula COSH, SINH"),
    ("TANH(1)-SINH(1)/COSH(1)", 0, "OpenFormula TANH"),
    ("DEGREES(PI())", 180, "OpenFormula DEGREES"),
    ("RADIANS(180)", 3.141592653589793, "OpenFormula RADIANS"),
    ("FACT(5)", 120, "OpenFormula FACT"),
    ("COMBIN(5,2)", 10, "OpenFormula COMBIN"),
    ("PRODUCT(A1:A3)", 12, "OpenFormula PRODUCT"),
    ("SUMSQ(A1:A3)", 26, "OpenFormula SUMSQ"),
    ("VAR(C1:C3)", 100, "OpenFormula VAR"),
    ("VARP(C1:C3)", 200 / 3, "OpenFormula VARP"),
    ("STDEV(C1:C3)", 10, "OpenFormula STDEV"),
    ("STDEVP(C1:C3)^2", 200 / 3, "OpenFormula STDEVP"),
    ("_xlfn.VAR.S(C1:C3)", 100, "Microsoft VAR.S"),
    ("_xlfn.VAR.P(C1:C3)", 200 / 3, "Microsoft VAR.P"),
    ("_xlfn.STDEV.S(C1:C3)", 10, "Microsoft STDEV.S"),
    ("_xlfn.STDEV.P(C1:C3)^2", 200 / 3, "Microsoft STDEV.P"),
    ("SUMPRODUCT(TRANSPOSE(A1:A3)*{1,10,100})", 413, "OpenFormula TRANSPOSE"),
    ("ISLOGICAL(A1=3)", True, "OpenFormula ISLOGICAL"),
    ("ISNONTEXT(A1)", True, "OpenFormula ISNONTEXT"),
    ("CLEAN(\"a\"&CHAR(10)&\"b\")", "ab", "OpenFormula CLEAN"),
    ("CODE(\"A\")", 65, "OpenFormula CODE"),
    ("REPLACE(\"board\",2,3,\"-\")", "b-d", "OpenFormula REPLACE"),
    ("CONCATENATE(A1,\" \",B1)", "3 board", "OpenFormula CONCATENATE"),
    ("HYPERLINK(\"#Here!A1\",B1&\"s\")", "boards", "OpenFormula HYPERLINK"),
    ("HYPERLINK(\"#Here!A1\")", "#Here!A1", "OpenFormula HYPERLINK"),
    ("T(B1)", "board", "OpenFormula T"),
    ("TIME(6,30,0)", 0.2708333333333333, "OpenFormula TIME"),
    ("HOUR(0.75)", 18, "OpenFormula HOUR"),
    ("MINUTE(0.7604166666666666)", 15, "OpenFormula MINUTE"),
    ("SECOND(TIME(1,2,3))", 3, "OpenFormula SECOND"),
    ("_xlfn.DAYS(D7,D7-5)", 5, "OpenFormula DAYS"),
    ("AND(TRUE(),NOT(FALSE()))", True, "OpenFormula TRUE, FALSE"),
    ("RAND()<1", True, "OpenFormula RAND: from 0 to below 1"),
    ("RANDBETWEEN(3,3)", 3, "OpenFormula RANDBETWEEN"),
]  # fmt: skip
"""The functions that no other row names."""

LATER = [
    ("_xlfn.UNICHAR(178)", "²", "OpenFormula UNICHAR"),
    ("_xlfn.UNICODE(\"²\")", 178, "OpenFormula UNICODE"),
    ("_xlfn.XMATCH(\"LEAD\",B1:B6)", 4, "Microsoft XMATCH"),
    ("_xlfn.XMATCH(35,C1:C6,-1)", 3, "Microsoft XMATCH: the next smaller"),
    ("_xlfn.XLOOKUP(\"wool\",B1:B6,C1:C6,0,0,-1)", 50, "Microsoft XLOOKUP: from the last"),
    ("_xlfn.MINIFS(C1:C6,B1:B6,\"wool\")", 20, "Microsoft MINIFS"),
    ("TEXTJOIN(\"-\",FALSE,A1*0.1,0.1+0.2)", "0.3-0.3", FIFTEEN),
]  # fmt: skip
"""The same for functions of later programs."""

EVERY = [*TABLE, *NEWER, *LATER, *DIGITS, *OVER_RANGES, *ONE_OF_EACH]
WIDE = "0.0000000000000##"


def sheet(rows):
    made = books.built({"S": {**CELLS, **{f"F{n}": f"={_prefixed(row[0])}" for n, row in enumerate(rows, start=1)}}})
    for n, (_, value, _) in enumerate(rows, start=1):
        if not isinstance(value, bool | str):
            made["S"][f"F{n}"].number_format = WIDE
    return books.saved(made)


def _prefixed(formula):
    for name in ("TEXTJOIN", "CONCAT", "IFNA"):
        formula = formula.replace(f"{name}(", f"_xlfn.{name}(")
    return formula


@pytest.fixture(scope="module")
def values():
    package = Package(sheet(EVERY))
    package.write(calculate(package).changes)
    return {row[0]: package.value("S", n, 6) for n, row in enumerate(EVERY, start=1)}


@pytest.mark.parametrize(("formula", "value", "source"), EVERY)
def test_a_function_gives_what_its_definition_says(values, formula, value, source):
    found = values[formula]
    if isinstance(value, float | int) and not isinstance(value, bool):
        assert found == pytest.approx(value, rel=1e-11, abs=1e-12), source
        assert not isinstance(found, bool)
    else:
        assert found == ERRORS.get(value, value), source
        assert isinstance(found, bool) == isinstance(value, bool)


@pytest.fixture(scope="module")
def refused():
    package = Package(sheet([(formula, "", "") for formula, _, _ in REFUSED]))
    calculation = calculate(package)
    package.write(calculation.changes)
    why = {error.cell: error.reason for error in calculation.errors}
    return {row[0]: (package.value("S", n, 6), why.get(f"F{n}", "")) for n, row in enumerate(REFUSED, start=1)}


@pytest.mark.parametrize(("formula", "code", "words"), REFUSED)
def test_what_is_not_proved_is_refused_with_a_reason(refused, formula, code, words):
    found, why = refused[formula]
    assert found == ErrorValue(Code(code))
    assert why
    assert words in why


def test_each_function_that_is_calculated_has_a_row():
    used = {
        name
        for formula, _, _ in EVERY
        for name in re.findall(
            r"[A-Z][A-Z0-9.]*(?=\()", re.sub(r'"[^"]*"', "", formula.replace("_xlfn.", "").replace("_xlws.", ""))
        )
    }
    assert set(ADMITTED) - used == set()


def test_today_is_today():
    package = books.package({"A1": "=TODAY()"})
    package.write(calculate(package).changes)
    day = datetime.date(1899, 12, 30) + datetime.timedelta(days=package.value("S", 1, 1))
    assert abs((day - datetime.date.today()).days) <= 1


OTHER_IN_LIBREOFFICE = {
    "SUMPRODUCT(--ISLOGICAL(D1:D6))": "a truth value in a range counts as a number",
    "SUM(A1:A6,D1:D3)": "a truth value in a range counts as a number",
    "COUNT(A1:D3)": "a truth value in a range counts as a number",
    "MAX(D1:D3)": "a truth value in a range counts as a number",
    "INDEX(A1:A6,7)": "the error has a number of its own, Err:502",
    "SQRT(-1)": "the error has a number of its own, Err:502",
    "TIME(-1,0,0)": "the error has a number of its own, Err:502",
    "DATE(10000,1,1)": "years go on to 32767",
}
"""Formulas for which LibreOffice follows another rule, with that rule: templates do without them."""


@pytest.mark.host
def test_libreoffice_gives_the_same(tmp_path):
    rows = [*TABLE, *DIGITS, *OVER_RANGES, *ONE_OF_EACH]
    path = tmp_path / "conformance.xlsx"
    path.write_bytes(sheet(rows))
    shown = [row[5] for row in office.csv_rows(path, tmp_path, recalculate=True)[: len(rows)]]
    differing = {formula for (formula, value, _), text in zip(rows, shown, strict=True) if not _agrees(text, value)}
    assert differing == set(OTHER_IN_LIBREOFFICE)


def _agrees(text, value):
    if isinstance(value, bool):
        return text == str(value).upper()
    if isinstance(value, int | float):
        try:
            return float(text) == pytest.approx(value, rel=1e-9, abs=1e-9)
        except ValueError:
            return False
    return text == value
