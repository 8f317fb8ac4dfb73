"""EULUMDAT text files (.ldt): telling them by their content, reading and writing."""
