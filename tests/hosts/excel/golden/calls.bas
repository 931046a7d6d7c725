Attribute VB_Name = "StillbookCalls"
Option Explicit
Option Private Module

' Calls Python for the formulas through xlwings' COM server. How the server is started follows the VBA module for
' custom add-ins of xlwings, which is distributed under the BSD 3-clause license:
'
' Copyright (C) 2014-present, Zoomer Analytics LLC. All rights reserved.
'
' Redistribution and use in source and binary forms, with or without modification, are permitted provided that the
' following conditions are met:
' * Redistributions of source code must retain the above copyright notice, this list of conditions and the following
'   disclaimer.
' * Redistributions in binary form must reproduce the above copyright notice, this list of conditions and the following
'   disclaimer in the documentation and/or other materials provided with the distribution.
' * Neither the name of the copyright holder nor the names of its contributors may be used to endorse or promote
'   products derived from this software without specific prior written permission.
' THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS" AND ANY EXPRESS OR IMPLIED WARRANTIES,
' INCLUDING, BUT NOT LIMITED TO, THE IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE
' DISCLAIMED. IN NO EVENT SHALL THE COPYRIGHT HOLDER OR CONTRIBUTORS BE LIABLE FOR ANY DIRECT, INDIRECT, INCIDENTAL,
' SPECIAL, EXEMPLARY, OR CONSEQUENTIAL DAMAGES (INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS OR
' SERVICES; LOSS OF USE, DATA, OR PROFITS; OR BUSINESS INTERRUPTION) HOWEVER CAUSED AND ON ANY THEORY OF LIABILITY,
' WHETHER IN CONTRACT, STRICT LIABILITY, OR TORT (INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY OUT OF THE USE
' OF THIS SOFTWARE, EVEN IF ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.

#If Win64 Then
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib "xlwings64-0.37.8.dll" (ByRef Result As Variant, _
    Optional ByVal Config As String = "", Optional ByVal mode As Long = 1) As Long
#Else
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib "xlwings32-0.37.8.dll" (ByRef Result As Variant, _
    Optional ByVal Config As String = "", Optional ByVal mode As Long = 1) As Long
#End If
Private Declare PtrSafe Function LoadLibraryW Lib "kernel32" (ByVal fileName As LongPtr) As LongPtr

Private Const MOST_REMEMBERED As Long = 10000
Private Const MOST_CHARACTERS As Long = 16000000
Private Const WAIT_SECONDS As Long = 5

Private remembered As Object
Private charactersRemembered As Long
Private libraryLoaded As Boolean
Private failure As String
Private failedAt As Date
Private failureShown As String

' The answer of a formula: a value, an array of them, or a true error value, which SUM does not pass over as it would
' pass over text.
Public Function Answer(ByVal formulaName As String, ByVal given As Variant) As Variant
    Dim key As String, place As Long, found As Variant
    On Error GoTo failed
    For place = LBound(given) To UBound(given)
        If TypeName(given(place)) = "Range" Then
            If given(place).Areas.Count > 1 Then Err.Raise vbObjectError + 1, , "a range has more than one area"
            given(place) = given(place).Value2
        End If
    Next place
    key = CallKey(formulaName, given)
    If Not Recalled(key, found) Then
        found = WithErrors(Server().CallUDF("stillbook.hosts.excel.functions", formulaName, given))
        failure = ""
        Remember key, found
    End If
    Answer = found
    Exit Function
failed:
    failure = Err.Description
    Answer = CVErr(2015)
End Function

' One Python process for all workbooks: the command never changes, and takes nothing from the workbook that is open.
Private Function Server() As Object
    Dim started As Variant, library As String
    If failedAt > 0 Then
        If DateDiff("s", failedAt, Now) < WAIT_SECONDS Then Err.Raise vbObjectError + 2, , failure
    End If
    failedAt = 0
    If Not libraryLoaded Then
        library = LibraryFile()
        If LoadLibraryW(StrPtr(library)) = 0 Then
            failedAt = Now
            Err.Raise vbObjectError + 3, , "cannot load " & library & ": run ""stillbook connect excel"" again"
        End If
        libraryLoaded = True
    End If
    If XLPyDLLActivateAuto(started, ServerCommand(), 1) <> 0 Then
        failedAt = Now
        Err.Raise vbObjectError + 4, , CStr(started)
    End If
    Set Server = started
End Function

Private Function LibraryFile() As String
#If Win64 Then
    LibraryFile = "C:\Users\Zo" & ChrW(235) & "\still book\xlwings64-0.37.8.dll"
#Else
    LibraryFile = "C:\Users\Zo" & ChrW(235) & "\still book\xlwings32-0.37.8.dll"
#End If
End Function

Private Function ServerCommand() As String
    ServerCommand = "cmd.exe /C """"C:\Users\Zo" & ChrW(235) & "\still book\Scripts\python.exe"" -P -B -c ""import xlwings; xlwings.serve('$(CLSID)')"""""
End Function

' The formulas are pure: the same arguments have the same answer. So a row of cells that each take a value of one answer
' is one question, and after a change only what it feeds is asked. Only answers that Python gave are remembered.
Private Function Recalled(ByVal key As String, ByRef found As Variant) As Boolean
    If Len(key) = 0 Or remembered Is Nothing Then Exit Function
    If Not remembered.Exists(key) Then Exit Function
    found = remembered.Item(key)
    Recalled = True
End Function

Private Sub Remember(ByVal key As String, ByVal found As Variant)
    On Error GoTo without_memory
    If Len(key) = 0 Then Exit Sub
    If remembered Is Nothing Then Set remembered = CreateObject("Scripting.Dictionary")
    charactersRemembered = charactersRemembered + Len(key)
    If remembered.Count >= MOST_REMEMBERED Or charactersRemembered > MOST_CHARACTERS Then
        remembered.RemoveAll
        charactersRemembered = Len(key)
    End If
    remembered.Item(key) = found
without_memory:
End Sub

' Why Python could not be asked, in the status bar; cells show #VALUE! meanwhile.
Public Sub ShowFailure()
    If failure = failureShown Then Exit Sub
    If Len(failure) > 0 Then
        Application.StatusBar = "Stillbook could not calculate: " & Left$(Replace(failure, vbLf, " "), 200)
    Else
        Application.StatusBar = False
    End If
    failureShown = failure
End Sub
