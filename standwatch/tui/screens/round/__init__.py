"""The round."""
