"""The part that runs inside LibreOffice: cell values, and calls to the calculation service.

LibreOffice's own Python may be 3.8 and has nothing but the standard library, so only that is used here. The discovery
module of the service is put beside these modules when the extension is built.
"""
