"""Steps from one shape of a store to the next; applied whole or not at all, and never changed later."""
