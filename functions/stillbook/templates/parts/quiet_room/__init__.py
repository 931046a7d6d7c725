"""The pages of one quiet room, alike for a new room in a room and for an existing room that is isolated."""
