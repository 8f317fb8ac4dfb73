"""Switching drawn: light and levels over an evening, and the state matrix."""
