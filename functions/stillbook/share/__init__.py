"""What may leave the office: who may see what, and copies that hold nothing else, with the proof of it."""
