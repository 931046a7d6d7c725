"""Many files and the life of a job: carried on, compared, repriced, bid for, done in batches."""
