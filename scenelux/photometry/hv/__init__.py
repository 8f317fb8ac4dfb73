"""H-V tables: test points of warning lamps and headlamps as laboratories list them, reading and writing."""
