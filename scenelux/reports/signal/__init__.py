"""Flashing lamps as a page, tables, one JSON document, and a summary at the terminal."""
