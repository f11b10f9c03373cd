"""Weights, springs, blows and stops against every goal they have; simulated with known truth."""
