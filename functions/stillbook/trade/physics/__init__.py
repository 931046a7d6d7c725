"""What every family stands on: physical constants, bands and levels of sound, fibrous materials."""
