"""What should be bought: offers, cost over the life, the purchase that costs least for a whole structure."""
