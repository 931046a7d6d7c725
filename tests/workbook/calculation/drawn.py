"""Formulas drawn by chance over every function that is calculated, and cells for them to work on."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

ROWS = 12
NUMBERS, TEXTS, MIXED, SORTED, TENTHS, TRUTHS, DAYS, WORDS = "ABCDEGHI"
"""Columns of cells: whole and broken numbers, texts, all kinds, rising numbers, tenths, truth values, days, rising texts."""


def cells(chance: random.Random) -> dict[str, Any]:
    """The cells by address."""
    found: dict[str, Any] = {}
    mixed = ["wool", 3, None, "=NA()", "12x", 0.5, '=""', -4, None, "Board", 7, 1]
    chance.shuffle(mixed)
    rising = sorted(chance.sample(range(-20, 90), ROWS))
    words = sorted(
        chance.sample(
            ["alder", "ash", "beech", "birch", "cedar", "elm", "fir", "larch", "maple", "oak", "pine", "teak", "yew"],
            ROWS,
        )
    )
    for row in range(1, ROWS + 1):
        found[f"{NUMBERS}{row}"] = chance.choice([chance.randint(-9, 30), round(chance.uniform(-5, 50), 2), 3])
        found[f"{TEXTS}{row}"] = chance.choice(["board", "Board", "wool", "lead seal", "a-b", "seal", "w", "door 36"])
        if mixed[row - 1] is not None:
            found[f"{MIXED}{row}"] = mixed[row - 1]
        found[f"{SORTED}{row}"] = rising[row - 1]
        found[f"{TENTHS}{row}"] = (
            f"=0.1*{chance.randint(1, 40)}" if chance.random() < 0.7 else f"=1.1*{chance.randint(1, 9)}"
        )
        found[f"{TRUTHS}{row}"] = chance.random() < 0.5
        found[f"{DAYS}{row}"] = chance.randint(40000, 47000)
        found[f"{WORDS}{row}"] = words[row - 1]
    return found


class Draw:
    """Draws formulas."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.height = ROWS

    def pick(self, *choices: Any) -> Any:
        return self.chance.choice(choices)

    def formula(self) -> tuple[str, bool]:
        """A formula without ``=``, and whether it is an array formula."""
        kind = self.chance.random()
        if kind < 0.62:
            return self.pick(self.number, self.number, self.text, self.truth)(3), False
        if kind < 0.82:
            return f"SUMPRODUCT({self.lifted_number(2)})", False
        return self.pick(
            lambda: f"SUM({self.lifted_number(2)})",
            lambda: f"_xlfn.CONCAT({self.lifted_text(2)})",
            lambda: f"MAX({self.lifted_number(2)})",
            lambda: f"SUM(IF({self.lifted_truth(2)},{self.lifted_number(1)},0))",
            lambda: f"INDEX({self.lifted_number(2)},{self.row()})",
            lambda: f"SUM(IFERROR({self.lifted_number(2)},0))",
        )(), True

    # --- pieces -------------------------------------------------------------------------------------------------------

    def row(self) -> int:
        return self.chance.randint(1, ROWS)

    def area(self, column: str) -> str:
        first = self.chance.randint(1, ROWS - 2)
        return f"{column}{first}:{column}{self.chance.randint(first + 1, ROWS)}"

    def whole(self, column: str) -> str:
        return f"{column}1:{column}{ROWS}"

    def areas(self, *columns: str) -> list[str]:
        first = self.chance.randint(1, ROWS - 3)
        last = self.chance.randint(first + 2, ROWS)
        return [f"{column}{first}:{column}{last}" for column in columns]

    def small(self) -> str:
        return str(self.pick(0, 1, 2, 3, -1, 2))

    def criterion(self) -> str:
        return self.pick(
            '"wool"',
            '"w*"',
            '"?oard"',
            '">3"',
            '"<=7"',
            '"<>3"',
            '"<>wool"',
            "3",
            f"A{self.row()}",
            f"B{self.row()}",
            '"*"',
            '"b*d"',
            '"=Board"',
            '">="&E5',
            '"<0.5"',
            '"lead seal"',
            '"<>"',
            '"="',
            '""',
            '">m"',
        )

    def numbers(self) -> str:
        return self.area(self.pick(NUMBERS, NUMBERS, MIXED, SORTED, TENTHS, TEXTS))

    # --- single values ------------------------------------------------------------------------------------------------

    def number(self, depth: int) -> str:
        n, t = self.number, self.text
        if depth <= 0:
            return self.pick(
                lambda: f"A{self.row()}",
                lambda: f"E{self.row()}",
                lambda: f"D{self.row()}",
                lambda: f"C{self.row()}",
                lambda: str(self.chance.randint(-3, 40)),
                lambda: f"{self.chance.uniform(-3, 40):.2f}",
                lambda: "0.1",
                lambda: "0.3",
            )()
        d = depth - 1
        s = self.small
        return self.pick(
            lambda: f"({n(d)}{self.pick('+', '-', '*', '/')}{n(d)})",
            lambda: f"({n(d)}{self.pick('+', '-', '*', '/')}{n(d)})",
            lambda: f"{n(d)}{self.pick('+', '-', '*', '/')}{n(d)}",
            lambda: f"({n(d)}{self.pick('+', '-', '*')}{n(d)}{self.operator()}{n(d)})*1",
            lambda: f"ROUNDUP({n(d)}-{n(d)},{s()})",
            lambda: f"{self.pick('ROUND', 'ROUNDUP', 'ROUNDDOWN', 'TRUNC')}({n(d)},{s()})",
            lambda: f"{self.pick('ROUND', 'ROUNDUP', 'ROUNDDOWN')}({n(d)}/0.1,0)",
            lambda: f"{self.pick('CEILING', 'FLOOR', 'MROUND')}(ABS({n(d)}),{self.pick('0.1', '0.3', '2', '0.25', '5')})",
            lambda: f"{self.pick('CEILING', 'FLOOR')}(E{self.row()},0.1)",
            lambda: f"{self.pick('INT', 'ABS', 'SIGN', 'EVEN', 'ODD', 'N')}({n(d)})",
            lambda: f"INT({n(d)}*10)",
            lambda: f"MOD({n(d)},{self.pick('3', '-4', '0.1', '0.7', n(0))})",
            lambda: f"QUOTIENT({n(d)},{self.pick('3', '0.1', n(0))})",
            lambda: f"{self.pick('SQRT', 'LN', 'LOG10')}(ABS({n(d)}))",
            lambda: f"{self.pick('SIN', 'COS', 'ATAN', 'DEGREES', 'RADIANS', 'TANH')}({n(d)})",
            lambda: f"POWER(ABS({n(d)}),{self.pick('2', '0.5', '-1')})",
            lambda: f"({n(d)})^2",
            lambda: f"LOG(ABS({n(d)})+1,{self.pick('2', '10')})",
            lambda: f"ATAN2({n(d)},{n(d)})",
            lambda: f"COMBIN({self.pick(5, 9)},{self.pick(0, 2, 3)})+FACT({self.pick(0, 3, 5)})",
            lambda: f"{self.pick('SUM', 'AVERAGE', 'MIN', 'MAX', 'PRODUCT', 'SUMSQ', 'COUNT', 'COUNTA', 'MEDIAN')}({self.numbers()})",
            lambda: f"{self.pick('SUM', 'AVERAGE', 'MIN', 'MAX', 'COUNT', 'COUNTA', 'MEDIAN')}({self.area(NUMBERS)},{n(d)})",
            lambda: f"{self.pick('STDEV', 'VAR', 'STDEVP', 'VARP')}({self.area(NUMBERS)})",
            lambda: f"COUNTBLANK({self.area(MIXED)})",
            lambda: f"{self.pick('LARGE', 'SMALL')}({self.area(self.pick(NUMBERS, MIXED))},{self.pick(1, 2, 3, 0)})",
            lambda: f"RANK(A{self.row()},{self.whole(NUMBERS)},{self.pick(0, 1)})",
            lambda: "SUMIF({0},{2},{1})".format(*self.areas(self.pick(TEXTS, NUMBERS, MIXED), self.pick(NUMBERS, TENTHS, MIXED)), self.criterion()),
            lambda: "AVERAGEIF({0},{2},{1})".format(*self.areas(self.pick(TEXTS, NUMBERS), NUMBERS), self.criterion()),
            lambda: f"COUNTIF({self.area(self.pick(TEXTS, NUMBERS, MIXED, TENTHS))},{self.criterion()})",
            lambda: f"{self.pick('SUMIFS', 'AVERAGEIFS', '_xlfn.MAXIFS', '_xlfn.MINIFS')}"
            + "({0},{1},{3},{2},{4})".format(*self.areas(NUMBERS, TEXTS, self.pick(MIXED, NUMBERS, TENTHS)), self.criterion(), self.criterion()),
            lambda: "COUNTIFS({0},{2},{1},{3})".format(*self.areas(TEXTS, self.pick(MIXED, NUMBERS, TENTHS)), self.criterion(), self.criterion()),
            lambda: f"MATCH({self.pick(n(d), t(d), f'A{self.row()}', f'E{self.row()}', 'TRUE')},{self.area(self.pick(NUMBERS, MIXED, TENTHS, TEXTS, TRUTHS))},0)",
            lambda: f"MATCH({n(d)},{self.area(self.pick(SORTED, SORTED, NUMBERS, MIXED))})",
            lambda: f"MATCH({self.pick(chr(34) + 'c' + chr(34), 'I3', chr(34) + 'zz' + chr(34))},{self.area(WORDS)})",
            lambda: f"VLOOKUP({n(d)},D1:E12,{self.pick(1, 2, 2, 3)},{self.pick('TRUE', 'FALSE', 1, 0)})",
            lambda: f"VLOOKUP(D{self.row()},D1:I12,{self.pick(1, 2)},FALSE)",
            lambda: f"VLOOKUP({t(0)},B1:E12,{self.pick(3, 4)},FALSE)",
            lambda: f"LOOKUP({n(d)},{self.whole(SORTED)},{self.whole(NUMBERS)})",
            lambda: f"LOOKUP(2,1/(B1:B12={t(0)}),A1:A12)",
            lambda: f"HLOOKUP(A1,A1:E12,{self.pick(2, 5)},FALSE)",
            lambda: f"INDEX({self.whole(NUMBERS)},{self.row()})",
            lambda: f"INDEX(A1:E12,{self.row()},{self.pick(1, 4, 5)})",
            lambda: f"SUM(INDEX(A1:E12,0,{self.pick(1, 4, 5)}))",
            lambda: f"SUM(OFFSET(A1,{self.pick(0, 1, 3)},{self.pick(0, 3, 4)},{self.pick(2, 4)},1))",
            lambda: f"CHOOSE({self.pick(1, 2, 3)},{n(d)},{n(d)},{n(d)})",
            lambda: f"IF({self.truth(d)},{n(d)},{n(d)})",
            lambda: f"IFERROR({n(d)},{n(d)})",
            lambda: f"IFERROR(1/{n(d)},-1)",
            lambda: f"LEN({t(d)})",
            lambda: f"LEN({n(d)})",
            lambda: f"FIND({self.pick(chr(34) + 'o' + chr(34), chr(34) + 'a' + chr(34))},{t(d)})",
            lambda: f"SEARCH({self.pick(chr(34) + 'O' + chr(34), chr(34) + 'a*d' + chr(34), chr(34) + '?o' + chr(34))},{t(d)})",
            lambda: f"VALUE(TEXT({n(d)},\"0.00\"))",
            lambda: f"CODE({t(0)})",
            lambda: f"{self.pick('YEAR', 'MONTH', 'DAY', 'WEEKDAY')}(H{self.row()})",
            lambda: f"DATE(2024,{self.pick(1, 5, 14, 0, -3)},{self.pick(1, 31, 0, 45)})",
            lambda: f"{self.pick('EDATE', 'EOMONTH')}(H{self.row()},{self.pick(1, -3, 12, 0)})",
            lambda: f"{self.pick('HOUR', 'MINUTE')}(H{self.row()}+{self.pick('0.3', '0.75', '0.51')})",
            lambda: f"{self.pick('ROWS', 'COLUMNS')}({self.area(NUMBERS)})",
            lambda: f"ROW(A{self.row()})+COLUMN({self.pick('C1', 'D4')})",
            lambda: f"PMT(0.0{self.pick(1, 5)},{self.pick(12, 24)},-1000)",
            lambda: "SUMPRODUCT({},{})".format(*self.areas(NUMBERS, TENTHS)),
            lambda: f"SUBTOTAL({self.pick(9, 1, 2, 4, 5, 109)},{self.area(self.pick(NUMBERS, TENTHS))})",
            lambda: f"INDEX(FREQUENCY({self.whole(NUMBERS)},{self.pick('{5;10;20}', '{20;5;10}', '{9;3;12}')}),{self.pick(1, 2, 3, 4)})",
            lambda: f"SUM(LARGE({self.whole(NUMBERS)},{{1,2,3}}))",
            lambda: f"-{n(d)}",
            lambda: f"{n(d)}%",
            lambda: f"{self.truth(d)}*{n(d)}",
        )()  # fmt: skip

    def text(self, depth: int) -> str:
        n, t = self.number, self.text
        if depth <= 0:
            return self.pick(
                lambda: f"B{self.row()}", lambda: f"I{self.row()}", lambda: '"board"', lambda: '"Wool"', lambda: '"a b"'
            )()
        d = depth - 1
        return self.pick(
            lambda: f"({t(d)}&{t(d)})",
            lambda: f"({t(d)}&{n(d)})",
            lambda: f"{t(d)}&{n(d)}&{t(d)}",
            lambda: f"{self.pick('LEFT', 'RIGHT')}({t(d)},{self.pick(0, 1, 3, 99)})",
            lambda: f"LEFT({n(d)},{self.pick(2, 4)})",
            lambda: f"MID({t(d)},{self.pick(1, 2, 5)},{self.pick(0, 2, 9)})",
            lambda: f"{self.pick('UPPER', 'LOWER', 'PROPER', 'TRIM', 'CLEAN', 'T')}({t(d)})",
            lambda: f"REPT({t(d)},{self.pick(0, 1, 3)})",
            lambda: f"SUBSTITUTE({t(d)},{self.pick(chr(34) + 'o' + chr(34), chr(34) + 'oa' + chr(34))},{t(0)})",
            lambda: f"SUBSTITUTE({t(d)},\"a\",\"-\",{self.pick(1, 2)})",
            lambda: f"REPLACE({t(d)},{self.pick(1, 2, 4)},{self.pick(0, 1, 3)},{t(0)})",
            lambda: f"CONCATENATE({t(d)},{n(d)},{t(d)})",
            lambda: f"HYPERLINK(\"#Here\",{t(0)})",
            lambda: f"_xlfn.CONCAT({self.area(self.pick(TEXTS, NUMBERS))},{t(d)})",
            lambda: f"_xlfn.TEXTJOIN({self.pick(chr(34) + ', ' + chr(34), chr(34) * 2)},{self.pick('TRUE', 'FALSE')},{self.area(self.pick(TEXTS, TENTHS))},{t(d)})",
            lambda: f"TEXT({n(d)},\"{self.pick('0', '0.0', '0.00', '#,##0', '#,##0.00', '0%', '0.0%', '0.##', '000', '#', '0.0;(0.0)', '+0;-0;0', '#,##0.0##')}\")",
            lambda: f"TEXT(H{self.row()},\"{self.pick('yyyy-mm-dd', 'd mmmm yyyy', 'dd/mm/yy', 'mmm d', 'ddd', 'dddd d')}\")",
            lambda: f"TEXT(H{self.row()}+{self.pick('0.25', '0.7', '0.999')},\"{self.pick('hh:mm', 'h:mm AM/PM', 'yyyy-mm-dd hh:mm:ss', 'mm:ss')}\")",
            lambda: f"FIXED({n(d)},{self.pick(0, 1, 2, 3)}{self.pick('', ',TRUE', ',FALSE')})",
            lambda: f"CHAR({self.chance.randint(65, 90)})",
            lambda: f"IF({self.truth(d)},{t(d)},{t(d)})",
            lambda: f"INDEX({self.whole(TEXTS)},{self.row()})",
            lambda: f"VLOOKUP({self.pick(chr(34) + 'w*' + chr(34), 'B3', chr(34) + 'BOARD' + chr(34))},B1:I12,{self.pick(1, 8)},FALSE)",
            lambda: f"LOOKUP({t(0)},{self.whole(WORDS)})",
            lambda: f"ADDRESS({self.row()},{self.pick(1, 27)})",
        )()  # fmt: skip

    def truth(self, depth: int) -> str:
        if depth <= 0:
            return self.pick(
                lambda: f"G{self.row()}", lambda: f"(A{self.row()}>3)", lambda: f'(B{self.row()}="wool")'
            )()
        d, n, t = depth - 1, self.number, self.text
        return self.pick(
            lambda: f"({n(d)}{self.operator()}{n(d)})",
            lambda: f"({n(d)}*0.1{self.operator()}{n(d)}/10)",
            lambda: f"({t(d)}{self.operator()}{t(d)})",
            lambda: f"({n(d)}={t(d)})",
            lambda: f"(C{self.row()}={self.pick('0', chr(34) * 2, 'C3')})",
            lambda: f"{self.pick('AND', 'OR')}({self.truth(d)},{self.truth(d)})",
            lambda: f"NOT({self.truth(d)})",
            lambda: f"{self.pick(*self.KINDS)}({self.pick(n, t)(d)})",
            lambda: f"{self.pick(*self.KINDS)}(C{self.row()})",
            lambda: f"EXACT({t(d)},{t(d)})",
        )()  # fmt: skip

    KINDS: Sequence[str] = ("ISNUMBER", "ISTEXT", "ISBLANK", "ISERROR", "ISERR", "ISNA", "ISLOGICAL", "ISNONTEXT")

    def operator(self) -> str:
        return self.pick("=", "<>", "<", "<=", ">", ">=")

    # --- many values, over all rows -----------------------------------------------------------------------------------

    def lifted_number(self, depth: int) -> str:
        n, t = self.lifted_number, self.lifted_text
        if depth <= 0:
            return self.whole(self.pick(NUMBERS, SORTED, TENTHS))
        d = depth - 1
        return self.pick(
            lambda: f"({n(d)}{self.pick('+', '-', '*')}{n(d)})",
            lambda: f"({n(d)}{self.pick('+', '-', '*')}{n(d)}{self.operator()}{n(d)})*1",
            lambda: f"({n(d)}{self.pick('+', '-', '*')}({n(d)}{self.operator()}{n(d)}))",
            lambda: f"({n(d)}{self.pick('+', '-', '*')}{self.chance.randint(1, 5)})",
            lambda: f"{self.pick('ROUND', 'ROUNDUP', 'ROUNDDOWN')}({n(d)},{self.small()})",
            lambda: f"{self.pick('CEILING', 'FLOOR')}(ABS({n(d)}),{self.pick('0.1', '2')})",
            lambda: f"{self.pick('INT', 'ABS', 'SIGN', 'EVEN', 'ODD')}({n(d)})",
            lambda: f"MOD({n(d)},{self.pick(3, '0.1', -2)})",
            lambda: f"SQRT(ABS({n(d)}))",
            lambda: f"--({self.lifted_truth(d)})",
            lambda: f"({self.lifted_truth(d)})*{n(d)}",
            lambda: f"LEN({t(d)})",
            lambda: f"IFERROR(SEARCH(\"{self.pick('o', 'a', 'w*l')}\",{t(d)}),0)",
            lambda: f"SUMIF({self.whole(TEXTS)},{self.whole(TEXTS)},{self.whole(NUMBERS)})",
            lambda: f"COUNTIF({self.whole(self.pick(TEXTS, NUMBERS))},{self.whole(self.pick(TEXTS, NUMBERS))})",
            lambda: f"MATCH({self.whole(TEXTS)},{self.whole(TEXTS)},0)",
            lambda: f"MATCH({n(d)},{self.whole(SORTED)},1)",
            lambda: f"VLOOKUP({self.whole(SORTED)},D1:E12,2,FALSE)",
            lambda: f"(ROW({self.whole(NUMBERS)})-{self.pick(0, 1)})",
            lambda: f"{self.pick('YEAR', 'MONTH', 'DAY', 'WEEKDAY')}({self.whole(DAYS)})",
            lambda: f"IF({self.lifted_truth(d)},{n(d)},{self.pick('0', n(d))})",
            lambda: f"POWER({n(d)},2)",
            lambda: f"RANK({self.whole(NUMBERS)},{self.whole(NUMBERS)})",
            lambda: f"LARGE({self.whole(NUMBERS)},ROW($A$1:$A$12))",
        )()  # fmt: skip

    def lifted_text(self, depth: int) -> str:
        if depth <= 0:
            return self.whole(self.pick(TEXTS, WORDS))
        d, n, t = depth - 1, self.lifted_number, self.lifted_text
        return self.pick(
            lambda: f"({t(d)}&{self.pick(t(d), n(d))})",
            lambda: f"{self.pick('LEFT', 'RIGHT')}({t(d)},{self.pick(1, 3)})",
            lambda: f"MID({t(d)},2,{self.pick(1, 3)})",
            lambda: f"{self.pick('UPPER', 'LOWER', 'PROPER', 'TRIM')}({t(d)})",
            lambda: f"SUBSTITUTE({t(d)},\"o\",\"0\")",
            lambda: f"TEXT({n(d)},\"{self.pick('0', '0.0', '0.00')}\")",
            lambda: f"REPT({self.whole(TEXTS)},2)",
            lambda: f"IF({self.lifted_truth(d)},{t(d)},\"-\")",
        )()  # fmt: skip

    def lifted_truth(self, depth: int) -> str:
        n, t = self.lifted_number, self.lifted_text
        d = max(0, depth - 1)
        return self.pick(
            lambda: f"({n(d)}{self.operator()}{self.pick('3', n(d))})",
            lambda: f"({t(d)}=\"{self.pick('wool', 'board')}\")",
            lambda: f"{self.pick(*self.KINDS)}({self.whole(self.pick(MIXED, NUMBERS))})",
            lambda: f"ISNUMBER(MATCH({t(0)},{self.area(TEXTS)},0))",
            lambda: f"EXACT({t(d)},\"board\")",
            lambda: f"NOT({n(d)}>3)",
        )()  # fmt: skip
