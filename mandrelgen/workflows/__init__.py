"""One job, one file, its steps in order."""
