"""The bench page: the whole job in the browser, on the same files as the command line."""
