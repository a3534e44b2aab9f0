"""Floor 10: what is kept of a structure that stands, and what is made of it; for both doors."""
