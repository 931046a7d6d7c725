"""Mass of materials, build-ups and rooms."""
