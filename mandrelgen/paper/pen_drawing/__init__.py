"""The assembled pen to scale, as a half section: values for the writers and for the bench page."""
