"""Independent libraries to compare with, as test dependencies only."""

import warnings
from typing import Any


def acoustics_building() -> Any:
    """The building acoustics of the ``acoustics`` library.

    On import it asks SciPy for a function that SciPy has dropped, and that nothing here calls; a stand-in lets it load.
    """
    import scipy.special

    if not hasattr(scipy.special, "sph_harm"):
        scipy.special.sph_harm = None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import acoustics.building

    return acoustics.building


def acoustics_criterion() -> Any:
    """The noise criteria of the ``acoustics`` library."""
    acoustics_building()
    import acoustics.criterion

    return acoustics.criterion


def acoustics_room() -> Any:
    """The room acoustics of the ``acoustics`` library."""
    acoustics_building()
    import acoustics.room

    return acoustics.room
