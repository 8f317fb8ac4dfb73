"""A driver's way to the vehicle: glare in the eye, and from where on people and objects are seen."""
