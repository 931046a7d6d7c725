"""Spreadsheet programs that use the formulas; what each needs is generated from the catalogue.

A host is a folder whose face keeps the contract of :mod:`stillbook.hosts.host`, and one place in
:data:`stillbook.hosts.registry.HOSTS`. Commands, the doctor and the tests know hosts by that alone.
"""
