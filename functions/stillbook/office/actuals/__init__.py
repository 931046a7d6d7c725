"""What finished jobs cost and what was measured in them, kept by the office beside what was estimated."""
