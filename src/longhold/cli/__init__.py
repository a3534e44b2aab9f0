"""Floor 11: the door on the command line."""
