"""Approaches handed over: terminal, JSON, tables and a page, all from the same rows."""
