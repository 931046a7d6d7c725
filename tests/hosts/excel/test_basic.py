"""The add-in's VBA run for real, in LibreOffice Basic with its VBA support; Excel's objects and Python are stood in for."""

import re
from pathlib import PureWindowsPath

import pytest

from hosts.excel import basic
from hosts.small import CATALOGUE
from stillbook.catalogue import formulas
from stillbook.hosts.excel import wizard, wrapper

pytestmark = pytest.mark.host

VALUES = {"StillbookValues": wrapper.shipped("values.bas")}

# A Python that says what it was asked, in the place of xlwings' COM object.
PYTHON = """Option ClassModule
Option Explicit
Public Function CallUDF(ByVal where As String, ByVal formulaName As String, ByVal given As Variant) As Variant
    Dim place As Long, table(1, 1) As Variant
    Asked = Asked & Mid$(formulaName, 7) & " "
    Select Case formulaName
        Case "STILL_BREAKS"
            Err.Raise 1000
        Case "STILL_ERROR"
            CallUDF = CLng(-2146826246)
        Case "STILL_TABLE"
            table(0, 0) = 1.5: table(0, 1) = CLng(-2146826252): table(1, 0) = "text": table(1, 1) = True
            CallUDF = table
        Case Else
            CallUDF = where & " " & formulaName
            For place = LBound(given) To UBound(given)
                If IsMissing(given(place)) Then
                    CallUDF = CallUDF & " -"
                Else
                    CallUDF = CallUDF & " " & given(place)
                End If
            Next place
    End Select
End Function
"""


# In the place of Windows' own Scripting.Dictionary, as far as it is used here. Basic has no property that is set by name.
DICTIONARY = """Option ClassModule
Option Explicit
Private names(9) As String
Private held(9) As Variant
Public Count As Long
Private Function PlaceOf(ByVal name As String) As Long
    Dim place As Long
    For place = 0 To Count - 1
        If StrComp(names(place), name, 0) = 0 Then Exit For
    Next place
    PlaceOf = place
End Function
Public Function Exists(ByVal name As String) As Boolean
    Exists = PlaceOf(name) < Count
End Function
Public Function Item(ByVal name As String) As Variant
    Item = held(PlaceOf(name))
End Function
Public Sub Keep(ByVal name As String, ByVal value As Variant)
    Dim place As Long
    place = PlaceOf(name)
    names(place) = name
    held(place) = value
    If place = Count Then Count = Count + 1
End Sub
Public Sub RemoveAll()
    Count = 0
End Sub
"""


def calls() -> str:
    """The calls module for LibreOffice, which has neither compiler directives nor xlwings' library."""
    path = PureWindowsPath(r"C:\x.dll")
    text = wrapper.calls_module(wrapper.Server(path, path, path))
    text, declarations = re.subn(r"(?ms)^#If Win64 Then\nPrivate Declare.*?LoadLibraryW.*?\n", "", text)
    text, choices = re.subn(r"(?ms)^#If Win64 Then\n(.*?)#Else\n.*?#End If\n", r"\1", text)
    fake = "Private Function Server() As Object\n    Set Server = New Python\nEnd Function\n"
    text, servers = re.subn(r"(?ms)^Private Function Server\(\).*?^End Function\n", fake, text)
    text, dictionaries = re.subn(r'CreateObject\("Scripting.Dictionary"\)', "New Dictionary", text)
    text, limits = re.subn(r"(?<=MOST_REMEMBERED As Long = )\d+", "5", text)
    text, kept = re.subn(r"remembered\.Item\(key\) = found", "remembered.Keep key, found", text)
    assert (declarations, choices, servers, dictionaries, limits, kept) == (1, 1, 1, 1, 1, 1)
    return text.replace("Option Explicit\n", "Option Explicit\nPublic Asked As String\n")


def printing(expressions):
    return "\n".join(f"Print #1, {expression}" for expression in expressions)


ERRORS = [
    # Excel's codes: Microsoft, XlCVError enumeration, and the whole numbers they are handed over as through COM
    (-2146826288, "Error 2000"),
    (-2146826281, "Error 2007"),
    (-2146826273, "Error 2015"),
    (-2146826265, "Error 2023"),
    (-2146826259, "Error 2029"),
    (-2146826252, "Error 2036"),
    (-2146826246, "Error 2042"),
    (-2146826289, "-2146826289"),
    (-2146826245, "-2146826245"),
    (0, "0"),
]


def test_whole_numbers_become_true_errors(of_values):
    assert of_values["whole numbers"] == [f"{text.startswith('Error')} {text}" for _, text in ERRORS]


ARRAYS = """Dim table(1, 1) As Variant, row(2) As Variant, found As Variant
    Print #1, WithErrors("text") & " " & WithErrors(2.5) & " " & IsError(WithErrors(CDbl(-2146826246)))
    table(0, 0) = CLng(-2146826273): table(0, 1) = 1.5: table(1, 0) = "a": table(1, 1) = CLng(-2146826252)
    found = WithErrors(table)
    Print #1, CStr(found(0, 0)) & " " & found(0, 1) & " " & found(1, 0) & " " & CStr(found(1, 1))
    row(0) = 1.5: row(1) = CLng(-2146826281): row(2) = "t"
    found = WithErrors(row)
    Print #1, found(0) & " " & CStr(found(1)) & " " & found(2) & " " & IsError(found(1))
    Print #1, Dimensions(row) & " " & Dimensions(table)"""


def test_errors_in_arrays_and_other_values(of_values):
    expected = ["text 2.5 False", "Error 2015 1.5 a Error 2036", "1.5 Error 2007 t True", "1 2"]
    assert of_values["arrays"] == expected


KEYS = [
    "Array(1.5)",
    'Array("1.5")',
    'Array(1.5, "")',
    "Array(1.5, Empty)",
    "Array(True)",
    "Array(False)",
    "Array(CVErr(2042))",
    "Array(CVErr(2007))",
    'Array("a|b")',
    'Array("a", "b")',
    "Array(1.5, 2.5)",
    "Array(Array(1.5, 2.5))",
    "Array(Array(1.5), 2.5)",
    "Array(0.1)",
    "Array(0.10000000001)",
    "Array(1E+300)",
    "Array()",
    "Array(Array(1.5, 2.5, 1.5))",
    "Array(Grid(1, 3))",
    "Array(Grid(3, 1))",
    "Array(Grid(2, 2))",
]


GRID = """Public Function Grid(ByVal rows As Long, ByVal columns As Long) As Variant
    Dim cells() As Variant, row As Long, column As Long
    ReDim cells(1 To rows, 1 To columns)
    For row = 1 To rows
        For column = 1 To columns
            cells(row, column) = 1.5
        Next column
    Next row
    Grid = cells
End Function
"""


def test_different_arguments_have_different_keys(of_values):
    keys = of_values["keys"]
    assert len(keys) == len(KEYS)
    assert all(key == "STILL_X" or key.startswith("STILL_X|") for key in keys)
    assert len(set(keys)) == len(keys)


WITHOUT_KEY = """Dim many(44, 44) As Variant
    Print #1, "[" & CallKey("STILL_X", Array(many)) & "]"
    Print #1, "[" & CallKey("STILL_X", Array(Now)) & "]" """


def test_what_cannot_be_remembered_has_no_key(of_values):
    assert of_values["without key"] == ["[]", "[]"]


SPELLINGS = [
    ("=STILL_DOORMASS(60,A1)", "=STILL_DOORMASS(60,A1)"),
    (r"=SUM('C:\old\it''s here\Stillbook.xlam'!STILL_DOORMASS(1),2)", "=SUM(STILL_DOORMASS(1),2)"),
    (r"='C:\a b\Stillbook.xlam'!STILL_X('My sheet'!A1)", "=STILL_X('My sheet'!A1)"),
    ("=1+Stillbook.xlam!still_x(1)", "=1+still_x(1)"),
    ("=[1]!STILL_X(1)*[2]!STILL_Y(2)", "=STILL_X(1)*STILL_Y(2)"),
    ("=_xldudf_STILL_X(1)+_xludf.STILL_Y(2)", "=STILL_X(1)+STILL_Y(2)"),
    ('=IF(A1="[1]!STILL_X",1,2)', '=IF(A1="[1]!STILL_X",1,2)'),
    ("=Sheet1!STILL_RATE+'Sheet 1'!STILL_RATE", "=Sheet1!STILL_RATE+'Sheet 1'!STILL_RATE"),
    ("='_xludf.STILL_ sheet'!A1", "='_xludf.STILL_ sheet'!A1"),
    ("=A1+1", "=A1+1"),
    ("=STILL.X(1)+still.y(2)", "=STILL_X(1)+still_y(2)"),
    ("=_xldudf_STILL.X(1)+[1]!STILL.Y(2)", "=STILL_X(1)+STILL_Y(2)"),
    ('=MYSTILL.X(1)+STILL.RATE+A.STILL.X(2)&"STILL.X("', '=MYSTILL.X(1)+STILL.RATE+A.STILL.X(2)&"STILL.X("'),
]


def test_formulas_are_spelled_plainly(of_values):
    assert of_values["spellings"] == [plain for _, plain in SPELLINGS]


@pytest.fixture(scope="module")
def of_values(tmp_path_factory):
    """What the module of values prints of each question, all asked in one start."""
    errors = [f'IsError(WithErrors(CLng({number}))) & " " & CStr(WithErrors(CLng({number})))' for number, _ in ERRORS]
    mains = {
        "whole numbers": printing(errors),
        "arrays": ARRAYS,
        "keys": printing(f'CallKey("STILL_X", {given})' for given in KEYS),
        "without key": WITHOUT_KEY,
        "spellings": printing(f"PlainSpelling({wrapper.literal(formula)})" for formula, _ in SPELLINGS),
    }
    return basic.run(tmp_path_factory.mktemp("values"), {**VALUES, "Grids": GRID}, mains)


def test_every_function_compiles_and_hands_on_what_it_was_given(tmp_path):
    modules = {
        **VALUES,
        "StillbookCalls": calls(),
        "StillbookFormulas": wrapper.formulas_module(formulas()),
        "Python": PYTHON,
        "Dictionary": DICTIONARY,
    }
    spread = wizard.widest(formulas())
    counts = {entry.workbook_name: len(wizard.arguments(entry, spread)) for entry in formulas().values()}
    counts = {name: count for name, count in counts.items() if count}
    every = printing(f'{name}() & "|" & {name}("first")' for name in counts)
    lines = basic.run(tmp_path, modules, {"every": every})["every"]
    heads = [(f"stillbook.hosts.excel.functions {name}", count) for name, count in counts.items()]
    assert lines == [f"{head}{' -' * count}|{head} first{' -' * (count - 1)}" for head, count in heads]


ANSWERS = """Dim found As Variant
    found = Answer("STILL_ERROR", Array(1.5))
    Print #1, IsError(found) & " " & CStr(found)
    found = Answer("STILL_BREAKS", Array(1.5))
    Print #1, IsError(found) & " " & CStr(found)
    found = Answer("STILL_TABLE", Array(1.5))
    Print #1, found(0, 0) & " " & CStr(found(0, 1)) & " " & found(1, 0) & " " & found(1, 1)
    Print #1, Answer("STILL_TEXT", Array("a", 2))"""


def test_answers_and_failures(of_calls):
    assert of_calls["answers"] == [
        "True Error 2042",
        "True Error 2015",
        "1.5 Error 2036 text True",
        "stillbook.hosts.excel.functions STILL_TEXT a 2",
    ]


# What cells ask one after another, and what of it Python is asked.
REMEMBERED = [
    ('Answer("STILL_A", Array(1.5)) & Answer("STILL_A", Array(1.5))', "A "),
    ('Answer("STILL_A", Array(2.5)) & Answer("STILL_B", Array(1.5)) & Answer("STILL_A", Array(1.5))', "A B "),
    # capitals of the name and of text
    ('Answer("STILL_C", Array("dB")) & Answer("STILL_C", Array("DB"))', "C C "),
    # five are kept here: with the sixth all are forgotten
    ('Answer("STILL_A", Array(1.5))', ""),
    ('Answer("STILL_D", Array(1.5)) & Answer("STILL_A", Array(1.5))', "D A "),
    # an array, of which each cell takes a value, and a true error in it
    ('Answer("STILL_TABLE", Array(1.5))(0, 0) & Answer("STILL_TABLE", Array(1.5))(1, 0)', "TABLE "),
    ('IsError(Answer("STILL_TABLE", Array(1.5))(0, 1))', ""),
    # an error is an answer; a failure is none
    ('IsError(Answer("STILL_ERROR", Array(1.5))) & IsError(Answer("STILL_ERROR", Array(1.5)))', "ERROR "),
    ('IsError(Answer("STILL_BREAKS", Array(1.5))) & IsError(Answer("STILL_BREAKS", Array(1.5)))', "BREAKS BREAKS "),
    # ranges, and more cells than are remembered
    (
        'Answer("STILL_TABLE", Array(Grid(3, 40), 1.5))(0, 0) & Answer("STILL_TABLE", Array(Grid(3, 40), 1.5))(0, 0)',
        "TABLE ",
    ),
    (
        'Answer("STILL_TABLE", Array(Grid(45, 45)))(0, 0) & Answer("STILL_TABLE", Array(Grid(45, 45)))(0, 0)',
        "TABLE TABLE ",
    ),
    # arguments left out, by the functions that cells call
    ("STILL_WIDER(1.5) & STILL_WIDER(1.5)", "WIDER "),
    ("STILL_WIDER(1.5, , 2.5) & STILL_WIDER(1.5, , 2.5)", "WIDER "),
    ("STILL_WIDER(1.5, 2.5) & STILL_WIDER(1.5, 2.5)", "WIDER "),
]


def test_answers_are_kept_by_name_and_arguments(of_calls):
    assert [line.partition("|")[0] for line in of_calls["remembered"]] == [asked for _, asked in REMEMBERED]


@pytest.fixture(scope="module")
def of_calls(tmp_path_factory):
    """What the module of calls prints of each question, all asked in one start; the first finds nothing remembered."""
    modules = {
        **VALUES,
        "StillbookCalls": calls(),
        "StillbookFormulas": wrapper.formulas_module(CATALOGUE),
        "Python": PYTHON,
        "Dictionary": DICTIONARY,
        "Grids": GRID,
    }
    remembered = "Dim shown As String\n" + "\n".join(
        f'Asked = ""\nshown = {asks}\nPrint #1, Asked & "|" & shown' for asks, _ in REMEMBERED
    )
    return basic.run(tmp_path_factory.mktemp("calls"), modules, {"remembered": remembered, "answers": ANSWERS})
