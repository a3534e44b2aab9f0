"""The version, for results that say what made them."""

__all__ = ["VERSION"]

VERSION = "0.1.0"
