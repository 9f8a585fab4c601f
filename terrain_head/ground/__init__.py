"""Elevations and rasters, places and routes, become ground profiles."""
