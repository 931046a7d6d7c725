Option Explicit

Private WithEvents host As Application

Private Sub Workbook_Open()
    Dim book As Workbook
    Set host = Application
    For Each book In Application.Workbooks
        BindWorkbook book, False
    Next book
End Sub

Private Sub host_WorkbookOpen(ByVal Wb As Workbook)
    BindWorkbook Wb, False
End Sub

Private Sub host_AfterCalculate()
    ShowFailure
End Sub
