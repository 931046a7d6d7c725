Attribute VB_Name = "StillbookValues"
Option Explicit
Option Private Module

' Values on their way between cells and Python, and the spelling of formulas. Nothing here needs Excel.

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
' many cells, or of a type, to be remembered by.
Public Function CallKey(ByVal formulaName As String, ByVal given As Variant) As String
    Dim key As String, place As Long, row As Long, column As Long, cells As Long
    On Error GoTo unfit
    key = formulaName
    For place = LBound(given) To UBound(given)
        If Not IsArray(given(place)) Then
            cells = cells + 1
            key = key & "|" & CellKey(given(place))
        ElseIf Dimensions(given(place)) = 1 Then
            cells = cells + UBound(given(place)) - LBound(given(place)) + 1
            If cells > 60 Then Exit Function
            key = key & "|["
            For column = LBound(given(place)) To UBound(given(place))
                key = key & CellKey(given(place)(column)) & ","
            Next column
        Else
            cells = cells + (UBound(given(place), 1) - LBound(given(place), 1) + 1) _
                * (UBound(given(place), 2) - LBound(given(place), 2) + 1)
            If cells > 60 Then Exit Function
            key = key & "|["
            For row = LBound(given(place), 1) To UBound(given(place), 1)
                For column = LBound(given(place), 2) To UBound(given(place), 2)
                    key = key & CellKey(given(place)(row, column)) & ","
                Next column
                key = key & ";"
            Next row
        End If
    Next place
    CallKey = key
unfit:
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

' A formula with each STILL_ name as it is typed: without the path or the name of an add-in file in front of it, and
' without the prefix that a spreadsheet without the formulas writes.
Public Function PlainSpelling(ByVal formula As String) As String
    Dim place As Long, sign As String, quoted As String, plain As String
    place = 1
    Do While place <= Len(formula)
        sign = Mid$(formula, place, 1)
        If quoted = "" And UCase$(Mid$(formula, place, 6)) = "STILL_" Then
            plain = WithoutPrefix(plain) & Mid$(formula, place, 6)
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
