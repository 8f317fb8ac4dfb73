"""The fast path of the engine: tiles of 256 points, single precision, one plain loop a stage; `drive` is its door."""
