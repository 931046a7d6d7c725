"""Inside the room: absorption, reverberation, treatment and modes."""
