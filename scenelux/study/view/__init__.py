"""What an eye sees of a scene, in luminance: surfaces, lamps, air, and the veil in the eye."""
