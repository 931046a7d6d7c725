"""The part that runs inside LibreOffice: cell values, calls to the process that calculates, and the jobs at its events.

LibreOffice's own Python may be 3.8 and has nothing but the standard library, so only that is used here. The discovery
module is put beside these modules when the extension is built: it knows where this user's notes are kept.
"""
