"""Pictures of an approach: curves along the way, and an animation that waits to be started."""
