"""Where the camera says it focused, from each maker's notes: a file a maker."""
