"""TM-33 documents (XML): reading and writing."""
