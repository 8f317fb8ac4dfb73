"""The scene document: read, checked, and nothing computed."""
