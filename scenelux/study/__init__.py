"""From a scene to results: the main job (`simulate`), points (`probe`), and the frozen values that come out (`results`)."""
