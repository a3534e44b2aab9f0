"""Floor 11: the door on the page, beside the command line, to the same functions.

Nothing is computed here: a page asks the rooms above and lays out what they answer.
"""
