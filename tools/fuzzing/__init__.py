"""Readers of what people hand in, tried with inputs that were spoiled on purpose."""
