"""Storage: the only room that knows SQL."""
