"""From a scene to results: the main job, points asked for, and the frozen values that come out."""
