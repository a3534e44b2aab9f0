"""Floor 4: capacity of dowels and sheet steel from the section that is left."""
