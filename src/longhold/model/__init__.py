"""Floor 3: what people describe, validated and frozen; no physics."""
