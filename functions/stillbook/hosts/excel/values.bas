Attribute VB_Name = "StillbookValues"
Option Explicit
Option Private Module

' Values on their way between cells and Python, and the spelling of formulas. Nothing here needs Excel.

Private Const MOST_CELLS_OF_A_KEY As Long = 2000

' An answer from Python with every whole number that stands for an error turned into a true error value.
Public Function WithErrors(ByVal answer As Variant) As Variant
    Dim place As Long, across As Long
    If Not IsArray(answer) Then
        WithErrors = CellValue(answer)
        Exit Function
    End If
    If Dimensions(answer) = 1 Then
        For place = LBound(answer) To UBound(answer)
            answer(place) = CellValue(answer(place))
        Next place
    Else
        For place = LBound(answer, 1) To UBound(answer, 1)
            For across = LBound(answer, 2) To UBound(answer, 2)
                answer(place, across) = CellValue(answer(place, across))
            Next across
        Next place
    End If
    WithErrors = answer
End Function

' Python sends numbers as Double, so a Long in this range can only be an error.
Private Function CellValue(ByVal value As Variant) As Variant
    If VarType(value) = vbLong Then
        If value >= -2146826288 And value <= -2146826246 Then
            CellValue = CVErr(value And 65535)
            Exit Function
        End If
    End If
    CellValue = value
End Function

Public Function Dimensions(ByVal table As Variant) As Long
    Dim bound As Long
    Dimensions = 1
    On Error GoTo single_row
    bound = UBound(table, 2)
    Dimensions = 2
single_row:
End Function

' A text that is the same for the same formula and arguments and for nothing else; empty where the arguments are too
' many cells, or of a type, to be remembered by. An argument left out is an error, 448.
Public Function CallKey(ByVal formulaName As String, ByVal given As Variant) As String
    Dim parts() As String, place As Long, cells As Long
    On Error GoTo unfit
    If UBound(given) < LBound(given) Then
        CallKey = formulaName
        Exit Function
    End If
    ReDim parts(LBound(given) To UBound(given))
    For place = LBound(given) To UBound(given)
        If IsError(given(place)) Then
            parts(place) = "e" & CStr(given(place))
        Else
            parts(place) = ArgumentKey(given(place), cells)
        End If
        If cells > MOST_CELLS_OF_A_KEY Then Exit Function
    Next place
    CallKey = formulaName & "|" & Join(parts, "|")
unfit:
End Function

' The part of one argument, which adds its cells to the count; of too many cells none.
Private Function ArgumentKey(ByVal value As Variant, ByRef cells As Long) As String
    Dim parts() As String, place As Long, row As Long, column As Long, across As Long
    If Not IsArray(value) Then
        cells = cells + 1
        ArgumentKey = CellKey(value)
    ElseIf Dimensions(value) = 1 Then
        cells = cells + UBound(value) - LBound(value) + 1
        If cells > MOST_CELLS_OF_A_KEY Then Exit Function
        ReDim parts(LBound(value) To UBound(value))
        For place = LBound(value) To UBound(value)
            parts(place) = CellKey(value(place))
        Next place
        ArgumentKey = "[" & Join(parts, ",") & "]"
    Else
        across = UBound(value, 2) - LBound(value, 2) + 1
        cells = cells + (UBound(value, 1) - LBound(value, 1) + 1) * across
        If cells > MOST_CELLS_OF_A_KEY Then Exit Function
        ReDim parts(0 To (UBound(value, 1) - LBound(value, 1) + 1) * across - 1)
        For row = LBound(value, 1) To UBound(value, 1)
            For column = LBound(value, 2) To UBound(value, 2)
                parts(place) = CellKey(value(row, column))
                place = place + 1
            Next column
        Next row
        ArgumentKey = "[" & across & ":" & Join(parts, ",") & "]"
    End If
End Function

' Str$ keeps 15 digits; what they leave of the number makes the key exact.
Private Function CellKey(ByVal value As Variant) As String
    Select Case VarType(value)
        Case vbEmpty
            CellKey = "-"
        Case vbDouble
            CellKey = "n" & Str$(value) & Str$(value - Val(Str$(value)))
        Case vbString
            CellKey = "s" & Len(value) & ":" & value
        Case vbBoolean
            CellKey = IIf(value, "y", "n")
        Case vbError
            CellKey = "e" & CStr(value)
        Case Else
            Err.Raise 13
    End Select
End Function

' A formula with each STILL_ name as it is typed: without the path or the name of an add-in file in front of it,
' without the prefix that a spreadsheet without the formulas writes, and not with the dot of hosts that have namespaces.
Public Function PlainSpelling(ByVal formula As String) As String
    Dim place As Long, sign As String, quoted As String, plain As String
    place = 1
    Do While place <= Len(formula)
        sign = Mid$(formula, place, 1)
        If quoted = "" And UCase$(Mid$(formula, place, 6)) = "STILL_" Then
            plain = WithoutPrefix(plain) & Mid$(formula, place, 6)
            place = place + 6
        ElseIf quoted = "" And UCase$(Mid$(formula, place, 6)) = "STILL." And IsCall(formula, place + 6) _
                And Not IsInName(plain) Then
            plain = WithoutPrefix(plain) & Mid$(formula, place, 5) & "_"
            place = place + 6
        Else
            If quoted = "" Then
                If sign = """" Or sign = "'" Then quoted = sign
            ElseIf sign = quoted Then
                quoted = ""
            End If
            plain = plain & sign
            place = place + 1
        End If
    Loop
    PlainSpelling = plain
End Function

' Whether letters and an opening bracket stand at a place.
Private Function IsCall(ByVal formula As String, ByVal place As Long) As Boolean
    Dim start As Long
    start = place
    Do While Mid$(formula, place, 1) Like "[A-Za-z0-9]"
        place = place + 1
    Loop
    IsCall = place > start And Mid$(formula, place, 1) = "("
End Function

' Whether what stands before a name is the beginning of a longer one.
Private Function IsInName(ByVal before As String) As Boolean
    IsInName = WithoutPrefix(before) = before And Right$(before, 1) Like "[A-Za-z0-9_.]"
End Function

Private Function WithoutPrefix(ByVal before As String) As String
    Dim start As Long, file As String
    WithoutPrefix = before
    If LCase$(Right$(before, 8)) = "_xldudf_" Then
        WithoutPrefix = Left$(before, Len(before) - 8)
    ElseIf LCase$(Right$(before, 7)) = "_xludf." Then
        WithoutPrefix = Left$(before, Len(before) - 7)
    ElseIf Right$(before, 2) = "'!" Then
        start = Len(before) - 2
        Do While start > 0
            If Mid$(before, start, 1) = "'" Then
                If start = 1 Then Exit Do
                If Mid$(before, start - 1, 1) <> "'" Then Exit Do
                start = start - 1
            End If
            start = start - 1
        Loop
        If start > 0 Then
            file = Mid$(before, start + 1, Len(before) - start - 2)
            If IsAddinFile(file) Then WithoutPrefix = Left$(before, start - 1)
        End If
    ElseIf Right$(before, 1) = "!" Then
        start = Len(before)
        Do While start > 1
            If InStr(" +-*/^&=<>(),;{}%@""", Mid$(before, start - 1, 1)) > 0 Then Exit Do
            start = start - 1
        Loop
        file = Mid$(before, start, Len(before) - start)
        If IsAddinFile(file) Then WithoutPrefix = Left$(before, start - 1)
    End If
End Function

' An add-in by its file, or by its place among the links: [1].
Private Function IsAddinFile(ByVal file As String) As Boolean
    IsAddinFile = LCase$(Right$(file, 5)) = ".xlam" Or LCase$(Right$(file, 4)) = ".xla"
    If Left$(file, 1) = "[" And Right$(file, 1) = "]" Then IsAddinFile = IsNumeric(Mid$(file, 2, Len(file) - 2))
End Function
