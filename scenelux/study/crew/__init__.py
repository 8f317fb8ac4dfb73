"""The people around the vehicle: what blinds them, what lights them, and where to stand is worst."""
