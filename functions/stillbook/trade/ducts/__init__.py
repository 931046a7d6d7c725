"""Ducts: quiet sizes, velocities, pressure, fittings and fans."""
