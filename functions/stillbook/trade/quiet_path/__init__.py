"""The quiet air path: what fans and moving air make, what lining and boxes take away, what is heard."""
