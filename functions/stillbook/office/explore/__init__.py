"""Many variants of one job, each calculated and checked whole, and the best choices among them.

:mod:`.space` says what varies, :mod:`.search` which variants are tried, :mod:`.workers` calculates them here or on a
cluster, :mod:`.outcome` judges them, :mod:`.front` finds the best, :mod:`.exploration` does it all, :mod:`.report`
writes it down, :mod:`.chosen` reads a variant back, and :mod:`.mending` looks for what would make a check pass.
"""
