"""Switching as page, script for the yard, tables, JSON and at the terminal."""
