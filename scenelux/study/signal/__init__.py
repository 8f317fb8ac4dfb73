"""Flashing lamps of a scene: light by direction over time, what it is worth, and what it must meet."""
