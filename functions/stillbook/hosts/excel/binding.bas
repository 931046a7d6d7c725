Attribute VB_Name = "StillbookBinding"
Option Explicit

' Formulas in a workbook that Excel did not connect to this add-in: those stored with the path of the add-in on another
' computer, and those that show #NAME?, are entered again.

Private Const NOT_A_NAME As Long = 2029
Private Const MOST_CELLS As Double = 1000000

' To run by hand: enters every formula of the workbook in front again.
Public Sub StillbookEnterAgain()
    BindWorkbook ActiveWorkbook, True
End Sub

Public Sub BindWorkbook(ByVal book As Object, ByVal every As Boolean)
    Dim sheet As Object, events As Boolean, updating As Boolean
    If book Is Nothing Then Exit Sub
    If book.IsAddin Then Exit Sub
    If Not CarriesOurs(book) Then Exit Sub
    events = Application.EnableEvents
    updating = Application.ScreenUpdating
    On Error GoTo finish
    Application.EnableEvents = False
    Application.ScreenUpdating = False
    RedirectLinks book
    If Not every Then every = ShowsNoNames(book)
    For Each sheet In book.Worksheets
        BindSheet sheet, every
    Next sheet
finish:
    Application.EnableEvents = events
    Application.ScreenUpdating = updating
End Sub

' Other people's workbooks are not touched: Excel's own search tells them in no time.
Private Function CarriesOurs(ByVal book As Object) As Boolean
    Dim sheet As Object
    For Each sheet In book.Worksheets
        CarriesOurs = HoldsOurs(sheet)
        If CarriesOurs Then Exit Function
    Next sheet
End Function

Private Function HoldsOurs(ByVal sheet As Object) As Boolean
    On Error GoTo unknown
    HoldsOurs = Not sheet.UsedRange.Find(What:="STILL", LookIn:=xlFormulas, LookAt:=xlPart, MatchCase:=False) Is Nothing
    Exit Function
unknown:
    HoldsOurs = True
End Function

' Links to this add-in at another path are pointed at the one that is open.
Private Sub RedirectLinks(ByVal book As Object)
    Dim links As Variant, place As Long, alerts As Boolean
    alerts = Application.DisplayAlerts
    On Error GoTo finish
    links = book.LinkSources(xlExcelLinks)
    If IsEmpty(links) Then Exit Sub
    Application.DisplayAlerts = False
    For place = LBound(links) To UBound(links)
        If IsOtherCopy(links(place)) Then book.ChangeLink links(place), ThisWorkbook.FullName, xlLinkTypeExcelLinks
    Next place
finish:
    Application.DisplayAlerts = alerts
End Sub

Private Function IsOtherCopy(ByVal link As String) As Boolean
    IsOtherCopy = LCase$(Right$(link, Len(ThisWorkbook.Name))) = LCase$(ThisWorkbook.Name) _
        And LCase$(link) <> LCase$(ThisWorkbook.FullName)
End Function

' A file may hold numbers beside formulas that Excel has not connected: one of them, calculated, tells.
Private Function ShowsNoNames(ByVal book As Object) As Boolean
    Dim sheet As Object, found As Object
    For Each sheet In book.Worksheets
        Set found = FirstFormula(sheet)
        If Not found Is Nothing Then
            found.Calculate
            ShowsNoNames = IsNoName(found.Value)
            Exit Function
        End If
    Next sheet
End Function

Private Function FirstFormula(ByVal sheet As Object) As Object
    Dim formulas As Variant, row As Long, column As Long
    If Not Readable(sheet, formulas) Then Exit Function
    For row = 1 To UBound(formulas, 1)
        For column = 1 To UBound(formulas, 2)
            If IsOurs(formulas(row, column)) Then
                Set FirstFormula = sheet.UsedRange.Cells(row, column)
                Exit Function
            End If
        Next column
    Next row
End Function

Private Sub BindSheet(ByVal sheet As Object, ByVal every As Boolean)
    Dim formulas As Variant, row As Long, column As Long, cell As Object, plain As String, writable As Boolean
    On Error GoTo finish
    If Not Readable(sheet, formulas) Then Exit Sub
    For row = 1 To UBound(formulas, 1)
        For column = 1 To UBound(formulas, 2)
            If IsOurs(formulas(row, column)) Then
                Set cell = sheet.UsedRange.Cells(row, column)
                plain = PlainSpelling(formulas(row, column))
                If every Or plain <> formulas(row, column) Or IsNoName(cell.Value) Then
                    If Not writable Then writable = MadeWritable(sheet)
                    If Not writable Then Exit Sub
                    EnterAgain cell, plain
                End If
            End If
        Next column
    Next row
finish:
End Sub

' The formulas of a sheet as a table; False where there are none, or too many cells to look through.
Private Function Readable(ByVal sheet As Object, ByRef formulas As Variant) As Boolean
    Dim single_cell(1 To 1, 1 To 1) As Variant
    If Not HoldsOurs(sheet) Then Exit Function
    If sheet.UsedRange.CountLarge > MOST_CELLS Then Exit Function
    formulas = sheet.UsedRange.Formula
    If Not IsArray(formulas) Then
        single_cell(1, 1) = formulas
        formulas = single_cell
    End If
    Readable = True
End Function

Private Function IsOurs(ByVal formula As Variant) As Boolean
    If VarType(formula) <> vbString Then Exit Function
    If Left$(formula, 1) <> "=" Then Exit Function
    IsOurs = InStr(1, formula, "STILL_", vbTextCompare) > 0 Or InStr(1, formula, "STILL.", vbTextCompare) > 0
End Function

Private Function IsNoName(ByVal value As Variant) As Boolean
    If IsArray(value) Then Exit Function
    If IsError(value) Then IsNoName = (value = CVErr(NOT_A_NAME))
End Function

' The cells of an array formula are entered together, at their first cell; those that an answer spills into, never.
' A cell of one value is given Formula: with Formula2 Excel would store it as an array, whose kept values other programs
' drop.
Private Sub EnterAgain(ByVal cell As Object, ByVal formula As String)
    On Error GoTo finish
    If IsSpilled(cell) Then
        If cell.SpillParent.Address = cell.Address Then cell.Formula2 = PlainSpelling(cell.Formula2)
    ElseIf cell.HasArray Then
        If cell.CurrentArray.Cells(1, 1).Address = cell.Address Then cell.CurrentArray.FormulaArray = formula
    ElseIf IsDynamic(cell) Then
        cell.Formula2 = PlainSpelling(cell.Formula2)
    Else
        cell.Formula = formula
    End If
finish:
End Sub

' Excel before 2021 knows neither of these.
Private Function IsSpilled(ByVal cell As Object) As Boolean
    On Error GoTo older
    IsSpilled = cell.HasSpill
older:
End Function

' A formula that was entered to spill, and does not while it shows #NAME?.
Private Function IsDynamic(ByVal cell As Object) As Boolean
    On Error GoTo older
    IsDynamic = cell.SavedAsArray
older:
End Function

' A sheet protected without a password is opened to this add-in alone, and stays protected for the user.
Private Function MadeWritable(ByVal sheet As Object) As Boolean
    If Not sheet.ProtectContents Then
        MadeWritable = True
        Exit Function
    End If
    On Error GoTo refused
    With sheet.Protection
        sheet.Protect DrawingObjects:=sheet.ProtectDrawingObjects, Contents:=True, Scenarios:=sheet.ProtectScenarios, _
            UserInterfaceOnly:=True, AllowFormattingCells:=.AllowFormattingCells, _
            AllowFormattingColumns:=.AllowFormattingColumns, AllowFormattingRows:=.AllowFormattingRows, _
            AllowInsertingColumns:=.AllowInsertingColumns, AllowInsertingRows:=.AllowInsertingRows, _
            AllowInsertingHyperlinks:=.AllowInsertingHyperlinks, AllowDeletingColumns:=.AllowDeletingColumns, _
            AllowDeletingRows:=.AllowDeletingRows, AllowSorting:=.AllowSorting, AllowFiltering:=.AllowFiltering, _
            AllowUsingPivotTables:=.AllowUsingPivotTables
    End With
    MadeWritable = True
refused:
End Function
