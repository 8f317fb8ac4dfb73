"""LM-63 text files of every edition: reading and writing."""
