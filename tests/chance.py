"""Where the tests that draw by chance begin: the same place each time, unless ``STILLBOOK_SEED`` names another."""

import os
import random

SEED = os.environ.get("STILLBOOK_SEED") or "20260302"


def drawn(*what: object) -> random.Random:
    """The draws of one test, told apart from those of others by what it is about."""
    return random.Random(" ".join(map(str, (SEED, *what))))
