"""Floor 5: draws of what is uncertain, run through air, wood, metal and strength."""
