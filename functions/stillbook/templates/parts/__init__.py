"""Parts of sheets that several templates share."""
