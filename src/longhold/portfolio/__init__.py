"""Floor 10: the answer for the owner of many structures, on a distributed engine. Extra ``portfolio``."""
