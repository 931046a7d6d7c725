Attribute VB_Name = "StillbookFormulas"
Option Explicit

Public Function STILL_WIDER(Optional width As Variant, Optional added As Variant, Optional type_ As Variant, _
        Optional units As Variant) As Variant
    STILL_WIDER = Answer("STILL_WIDER", Array(width, added, type_, units))
End Function

Public Function STILL_LOUDEST(Optional levels As Variant) As Variant
    STILL_LOUDEST = Answer("STILL_LOUDEST", Array(levels))
End Function

Public Function STILL_CORNERS(Optional length As Variant, Optional units As Variant) As Variant
    STILL_CORNERS = Answer("STILL_CORNERS", Array(length, units))
End Function

Public Function STILL_TOLD(Optional name As Variant, Optional argument_1 As Variant, Optional argument_2 As Variant, _
        Optional argument_3 As Variant, Optional argument_4 As Variant) As Variant
    STILL_TOLD = Answer("STILL_TOLD", Array(name, argument_1, argument_2, argument_3, argument_4))
End Function
