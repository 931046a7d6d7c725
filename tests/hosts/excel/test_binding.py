"""How the add-in connects the formulas of an opened workbook, run in LibreOffice Basic with Excel's objects stood in for."""

import re

import pytest

from hosts.excel import basic
from stillbook.hosts.excel import wrapper

pytestmark = pytest.mark.host

# Excel's objects as far as the binding module uses them, with a sheet of two rows and two columns.
OBJECTS = {
    "ExcelApplication": """Option ClassModule
Public EnableEvents As Boolean
Public ScreenUpdating As Boolean
Public DisplayAlerts As Boolean
""",
    "Book": """Option ClassModule
Public IsAddin As Boolean
Public Worksheets As Variant
Public Links As Variant
Public Redirected As String
Public Name As String
Public FullName As String
Public Function LinkSources(ByVal kind As Long) As Variant
    LinkSources = Links
End Function
Public Sub ChangeLink(ByVal source As String, ByVal target As String, ByVal kind As Long)
    Redirected = Redirected & source & " > " & target
End Sub
""",
    "Sheet": """Option ClassModule
Public ProtectContents As Boolean
Public ProtectDrawingObjects As Boolean
Public ProtectScenarios As Boolean
Public HasPassword As Boolean
Public Protected As String
Public UsedRange As Object
Public Protection As Object
Public Sub Protect(Optional DrawingObjects, Optional Contents, Optional Scenarios, Optional UserInterfaceOnly, _
        Optional AllowFormattingCells, Optional AllowFormattingColumns, Optional AllowFormattingRows, _
        Optional AllowInsertingColumns, Optional AllowInsertingRows, Optional AllowInsertingHyperlinks, _
        Optional AllowDeletingColumns, Optional AllowDeletingRows, Optional AllowSorting, Optional AllowFiltering, _
        Optional AllowUsingPivotTables)
    If HasPassword Then Err.Raise 1004
    Protected = UserInterfaceOnly & " " & Contents & " " & AllowFormattingCells & " " & AllowFiltering
End Sub
""",
    "SheetProtection": """Option ClassModule
Public AllowFormattingCells As Boolean
Public AllowFormattingColumns As Boolean
Public AllowFormattingRows As Boolean
Public AllowInsertingColumns As Boolean
Public AllowInsertingRows As Boolean
Public AllowInsertingHyperlinks As Boolean
Public AllowDeletingColumns As Boolean
Public AllowDeletingRows As Boolean
Public AllowSorting As Boolean
Public AllowFiltering As Boolean
Public AllowUsingPivotTables As Boolean
""",
    "CellRange": """Option ClassModule
Public CountLarge As Double
Public Looked As Long
Public Unsearchable As Boolean
Private held(1 To 2, 1 To 2) As Object
Public Sub Hold(ByVal row As Long, ByVal column As Long, ByVal cell As Object)
    Set held(row, column) = cell
    CountLarge = 4
End Sub
Public Function Cells(ByVal row As Long, ByVal column As Long) As Object
    Set Cells = held(row, column)
End Function
Public Function Formula() As Variant
    Dim formulas(1 To 2, 1 To 2) As Variant, row As Long, column As Long
    Looked = Looked + 1
    For row = 1 To 2
        For column = 1 To 2
            formulas(row, column) = held(row, column).Content
        Next column
    Next row
    Formula = formulas
End Function
Public Function Find(Optional What, Optional LookIn, Optional LookAt, Optional MatchCase) As Object
    Dim row As Long, column As Long
    If Unsearchable Then Err.Raise 1004
    If LookIn <> -4123 Or LookAt <> 2 Or MatchCase Then Err.Raise 1004
    Set Find = Nothing
    For row = 1 To 2
        For column = 1 To 2
            If InStr(1, held(row, column).Content, What, vbTextCompare) > 0 Then Set Find = held(row, column)
        Next column
    Next row
End Function
""",
    "OneCell": """Option ClassModule
Public Content As Variant
Public Value As Variant
Public Address As String
Public HasArray As Boolean
Public HasSpill As Boolean
Public SavedAsArray As Boolean
Public Dynamic As String
Public Unbound As Boolean
Public Entered As String
Public SpillParent As Object
Public CurrentArray As Object
Public Sub Calculate()
    If Unbound Then Value = CVErr(2029)
End Sub
Public Property Let Formula(ByVal given As String)
    Entered = Entered & given
End Property
Public Property Get Formula2() As String
    Formula2 = Dynamic
End Property
Public Property Let Formula2(ByVal given As String)
    Entered = Entered & "dynamic " & given
End Property
Public Property Let FormulaArray(ByVal given As String)
    Entered = Entered & "{" & given & "}"
End Property
Public Function Cells(ByVal row As Long, ByVal column As Long) As Object
    Set Cells = Me
End Function
""",
    "Scene": """Public App As New ExcelApplication
Public ThisBook As New Book
Public Const xlExcelLinks = 1
Public Const xlFormulas = -4123
Public Const xlPart = 2
Public Const xlLinkTypeExcelLinks = 1
Public Opened As Object
Public Shown As Object
Public A1 As Object, B1 As Object, A2 As Object, B2 As Object

Private Function Made(ByVal content As String, ByVal address As String) As Object
    Dim cell As New OneCell
    cell.Content = content
    cell.Dynamic = content
    cell.Value = 1
    cell.Address = address
    Set Made = cell
End Function

Public Sub Prepare()
    Dim area As New CellRange, sheet As New Sheet, book As New Book, rules As New SheetProtection, sheets(0) As Variant
    App.EnableEvents = True
    ThisBook.Name = "Stillbook.xlam"
    ThisBook.FullName = "C:\\here\\Stillbook.xlam"
    Set A1 = Made("=STILL_A(1)", "A1")
    Set B1 = Made("=STILL_B(1)", "B1")
    Set A2 = Made("=SUM(B1)", "A2")
    Set B2 = Made("STILL_ is only text", "B2")
    area.Hold 1, 1, A1
    area.Hold 1, 2, B1
    area.Hold 2, 1, A2
    area.Hold 2, 2, B2
    rules.AllowFiltering = True
    Set sheet.UsedRange = area
    Set sheet.Protection = rules
    Set sheets(0) = sheet
    book.Worksheets = sheets
    Set Opened = book
    Set Shown = sheet
End Sub

Public Function Entered() As String
    Entered = A1.Entered & "|" & B1.Entered & "|" & A2.Entered & "|" & B2.Entered & "|" & App.EnableEvents
End Function
""",
}

SCENES = {
    # name: what the workbook is like; what is bound; what is entered again in A1, B1, A2, B2; what else is told
    "connected": ("", "False", "||||True", ""),
    "one shows no name": ("B1.Value = CVErr(2029)", "False", "|=STILL_B(1)|||True", ""),
    "another error": ("B1.Value = CVErr(2042)", "False", "||||True", ""),
    "a path in front": (
        r'''B1.Content = "='C:\old\Stillbook.xlam'!STILL_B(1)"''',
        "False",
        "|=STILL_B(1)|||True",
        "",
    ),
    "numbers kept, none connected": ("A1.Unbound = True", "False", "=STILL_A(1)|=STILL_B(1)|||True", ""),
    "by hand": ("", "True", "=STILL_A(1)|=STILL_B(1)|||True", ""),
    "array formula": (
        "B1.HasArray = True\nSet B1.CurrentArray = B1",
        "True",
        "=STILL_A(1)|{=STILL_B(1)}|||True",
        "",
    ),
    "second cell of an array formula": (
        "B1.HasArray = True\nSet B1.CurrentArray = A1",
        "True",
        "=STILL_A(1)||||True",
        "",
    ),
    "spilled": (
        "A1.HasSpill = True\nSet A1.SpillParent = A1\nB1.HasSpill = True\nSet B1.SpillParent = A1",
        "True",
        "dynamic =STILL_A(1)||||True",
        "",
    ),
    "entered to spill, and showing no name": (
        'A1.SavedAsArray = True\nA1.Value = CVErr(2029)\nA1.Content = "=STILL.A(B1:B2)"\n'
        'A1.Dynamic = "=STILL.A(@B1:B2)"',
        "False",
        "dynamic =STILL_A(@B1:B2)|=STILL_B(1)|||True",
        "",
    ),
    "with a dot": ('B1.Content = "=STILL.B(1)"', "False", "|=STILL_B(1)|||True", ""),
    "with a prefix": ('B1.Content = "=_xldudf_STILL_B(1)"', "False", "|=STILL_B(1)|||True", ""),
    "someone else's": (
        'A1.Content = "=SUM(B1)"\nB1.Content = "=1"\nB2.Content = "words"\n'
        r'Opened.Links = Array("C:\old\stillbook.xlam")',
        "True",
        "||||True",
        "",
    ),
    "what cannot be searched": ("Shown.UsedRange.Unsearchable = True", "True", "=STILL_A(1)|=STILL_B(1)|||True", ""),
    "protected": (
        "Shown.ProtectContents = True\nB1.Value = CVErr(2029)",
        "False",
        "|=STILL_B(1)|||True",
        "True True False True",
    ),
    "protected, nothing to do": ("Shown.ProtectContents = True", "False", "||||True", ""),
    "protected with a password": (
        "Shown.ProtectContents = True\nShown.HasPassword = True\nB1.Value = CVErr(2029)",
        "False",
        "||||True",
        "",
    ),
    "too large to look through": ("Shown.UsedRange.CountLarge = 2000000", "True", "||||True", ""),
    "an add-in": ("Opened.IsAddin = True", "True", "||||True", ""),
    "linked to other copies": (
        r'Opened.Links = Array("C:\old\stillbook.xlam", "C:\prices.xlsx", "C:\HERE\Stillbook.xlam")',
        "False",
        "||||True",
        r"C:\old\stillbook.xlam > C:\here\Stillbook.xlam",
    ),
}


@pytest.fixture(scope="module")
def lines(tmp_path_factory):
    binding = wrapper.shipped("binding.bas")
    binding = re.sub(r"\bThisWorkbook\.", "ThisBook.", re.sub(r"\bApplication\.", "App.", binding))
    modules = {
        **OBJECTS,
        "StillbookValues": wrapper.shipped("values.bas"),
        "StillbookBinding": binding,
    }
    main = "\n".join(
        f"Prepare\n{like}\nBindWorkbook Opened, {every}\nPrint #1, Entered()\n"
        'Print #1, Shown.Protected & Opened.Redirected & " looked " & Shown.UsedRange.Looked'
        for like, every, _, _ in SCENES.values()
    )
    printed = basic.run(tmp_path_factory.mktemp("binding"), modules, {"binding": main})["binding"]
    return dict(zip(SCENES, zip(printed[::2], printed[1::2], strict=True), strict=True))


@pytest.mark.parametrize("scene", SCENES)
def test_binding(lines, scene):
    _, _, entered, told = SCENES[scene]
    assert (lines[scene][0], lines[scene][1].partition(" looked ")[0]) == (entered, told)


def test_someone_elses_workbook_is_not_read(lines):
    assert lines["someone else's"][1] == " looked 0"
    assert not lines["by hand"][1].endswith(" looked 0")
