"""Thread tables: facts with a source, and the pure geometry of a thread form."""
