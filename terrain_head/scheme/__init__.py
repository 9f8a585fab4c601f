"""Source, ram, pipes, tanks and outlets joined to the ground, and the water in them."""
