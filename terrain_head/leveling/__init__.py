"""Level books become elevations, with their joint doubt."""
