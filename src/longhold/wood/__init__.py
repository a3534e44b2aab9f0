"""Floor 4: the wood around the metal: moisture, preservative, rate of loss of what it touches."""
