"""Pictures: which surface every pixel sees first, and the light that falls on it there."""
