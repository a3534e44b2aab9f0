"""Floor 6: the line itself, from a described structure to an answer for each joint."""
