"""Findings, doubt, comparison of choices, what to measure next."""
